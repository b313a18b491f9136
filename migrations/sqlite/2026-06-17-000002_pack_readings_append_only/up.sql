-- What was read only grows: a later reading stands beside the earlier one.

CREATE TRIGGER pack_readings_never_change BEFORE UPDATE ON pack_readings
BEGIN
    SELECT RAISE(ABORT, 'pack_readings are append-only');
END;

CREATE TRIGGER pack_readings_never_vanish BEFORE DELETE ON pack_readings
BEGIN
    SELECT RAISE(ABORT, 'pack_readings are append-only');
END;
