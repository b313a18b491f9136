DROP TABLE pack_readings;
