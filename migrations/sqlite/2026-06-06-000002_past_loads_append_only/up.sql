-- What was made before the book is written down once.
-- Triggers are the one thing that the two dialects write differently.

CREATE TRIGGER past_loads_never_change BEFORE UPDATE ON past_loads
BEGIN
    SELECT RAISE(ABORT, 'past_loads are append-only');
END;

CREATE TRIGGER past_loads_never_vanish BEFORE DELETE ON past_loads
BEGIN
    SELECT RAISE(ABORT, 'past_loads are append-only');
END;

CREATE TRIGGER past_load_lines_never_change BEFORE UPDATE ON past_load_lines
BEGIN
    SELECT RAISE(ABORT, 'past_load_lines are append-only');
END;

CREATE TRIGGER past_load_lines_never_vanish BEFORE DELETE ON past_load_lines
BEGIN
    SELECT RAISE(ABORT, 'past_load_lines are append-only');
END;
