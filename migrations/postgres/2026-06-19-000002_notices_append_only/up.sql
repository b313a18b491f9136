-- What happened only grows.
-- Triggers are the one thing that the two dialects write differently.

CREATE TRIGGER notices_never_change BEFORE UPDATE OR DELETE ON notices
FOR EACH ROW EXECUTE FUNCTION append_only();
