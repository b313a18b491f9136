-- What was written by whom only grows.
-- Triggers are the one thing that the two dialects write differently.

CREATE TRIGGER audit_entries_never_change BEFORE UPDATE ON audit_entries
BEGIN
    SELECT RAISE(ABORT, 'audit_entries are append-only');
END;

CREATE TRIGGER audit_entries_never_vanish BEFORE DELETE ON audit_entries
BEGIN
    SELECT RAISE(ABORT, 'audit_entries are append-only');
END;
