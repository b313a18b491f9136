DROP TRIGGER notices_never_change ON notices;
