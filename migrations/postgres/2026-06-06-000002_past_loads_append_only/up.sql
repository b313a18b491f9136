-- What was made before the book is written down once.
-- Triggers are the one thing that the two dialects write differently.

CREATE TRIGGER past_loads_never_change BEFORE UPDATE OR DELETE ON past_loads
FOR EACH ROW EXECUTE FUNCTION append_only();

CREATE TRIGGER past_load_lines_never_change BEFORE UPDATE OR DELETE ON past_load_lines
FOR EACH ROW EXECUTE FUNCTION append_only();
