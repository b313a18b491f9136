DROP TRIGGER audit_entries_never_change ON audit_entries;
