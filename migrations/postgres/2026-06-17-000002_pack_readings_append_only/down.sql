DROP TRIGGER pack_readings_never_change ON pack_readings;
