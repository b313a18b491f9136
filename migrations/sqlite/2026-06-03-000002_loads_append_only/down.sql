DROP TRIGGER revisions_never_vanish;
DROP TRIGGER revisions_never_change;
DROP TRIGGER overrides_never_vanish;
DROP TRIGGER overrides_never_change;
DROP TRIGGER load_events_never_vanish;
DROP TRIGGER load_events_never_change;
