DROP TRIGGER revisions_never_change ON revisions;
DROP TRIGGER overrides_never_change ON overrides;
DROP TRIGGER load_events_never_change ON load_events;
DROP FUNCTION append_only();
