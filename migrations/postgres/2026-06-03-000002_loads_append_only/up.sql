-- What happened to a load, what was set by hand and what made a revision only grows.
-- Triggers are the one thing that the two dialects write differently.

CREATE FUNCTION append_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% are append-only', TG_TABLE_NAME;
END;
$$;

CREATE TRIGGER load_events_never_change BEFORE UPDATE OR DELETE ON load_events
FOR EACH ROW EXECUTE FUNCTION append_only();

CREATE TRIGGER overrides_never_change BEFORE UPDATE OR DELETE ON overrides
FOR EACH ROW EXECUTE FUNCTION append_only();

CREATE TRIGGER revisions_never_change BEFORE UPDATE OR DELETE ON revisions
FOR EACH ROW EXECUTE FUNCTION append_only();
