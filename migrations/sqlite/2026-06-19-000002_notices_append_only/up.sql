-- What happened only grows.
-- Triggers are the one thing that the two dialects write differently.

CREATE TRIGGER notices_never_change BEFORE UPDATE ON notices
BEGIN
    SELECT RAISE(ABORT, 'notices are append-only');
END;

CREATE TRIGGER notices_never_vanish BEFORE DELETE ON notices
BEGIN
    SELECT RAISE(ABORT, 'notices are append-only');
END;
