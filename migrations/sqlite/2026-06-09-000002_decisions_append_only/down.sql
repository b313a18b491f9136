DROP TRIGGER decisions_never_change;
DROP TRIGGER decisions_never_vanish;
DROP TRIGGER sign_offs_never_change;
DROP TRIGGER sign_offs_never_vanish;
