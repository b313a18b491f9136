-- What was read only grows: a later reading stands beside the earlier one.

CREATE TRIGGER pack_readings_never_change BEFORE UPDATE OR DELETE ON pack_readings
FOR EACH ROW EXECUTE FUNCTION append_only();
