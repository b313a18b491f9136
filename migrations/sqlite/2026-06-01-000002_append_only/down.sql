DROP TRIGGER movements_never_vanish;
DROP TRIGGER movements_never_change;
