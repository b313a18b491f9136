DROP TABLE audit_entries;
DROP TABLE tokens;
