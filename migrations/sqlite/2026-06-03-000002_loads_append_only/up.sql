-- What happened to a load, what was set by hand and what made a revision only grows.
-- Triggers are the one thing that the two dialects write differently.

CREATE TRIGGER load_events_never_change BEFORE UPDATE ON load_events
BEGIN
    SELECT RAISE(ABORT, 'load_events are append-only');
END;

CREATE TRIGGER load_events_never_vanish BEFORE DELETE ON load_events
BEGIN
    SELECT RAISE(ABORT, 'load_events are append-only');
END;

CREATE TRIGGER overrides_never_change BEFORE UPDATE ON overrides
BEGIN
    SELECT RAISE(ABORT, 'overrides are append-only');
END;

CREATE TRIGGER overrides_never_vanish BEFORE DELETE ON overrides
BEGIN
    SELECT RAISE(ABORT, 'overrides are append-only');
END;

CREATE TRIGGER revisions_never_change BEFORE UPDATE ON revisions
BEGIN
    SELECT RAISE(ABORT, 'revisions are append-only');
END;

CREATE TRIGGER revisions_never_vanish BEFORE DELETE ON revisions
BEGIN
    SELECT RAISE(ABORT, 'revisions are append-only');
END;
