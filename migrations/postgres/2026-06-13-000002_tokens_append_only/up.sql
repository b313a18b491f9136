-- What was written by whom only grows.
-- Triggers are the one thing that the two dialects write differently.

CREATE TRIGGER audit_entries_never_change BEFORE UPDATE OR DELETE ON audit_entries
FOR EACH ROW EXECUTE FUNCTION append_only();
