ALTER TABLE lots DROP COLUMN thaw_started;
