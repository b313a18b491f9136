DROP TABLE revisions;
DROP TABLE prints;
DROP TABLE overrides;
DROP TABLE load_events;
DROP TABLE loads;
