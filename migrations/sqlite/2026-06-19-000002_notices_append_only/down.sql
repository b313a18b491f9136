DROP TRIGGER notices_never_change;
DROP TRIGGER notices_never_vanish;
