-- When a lot was taken out of the freezer: it is never frozen again.
ALTER TABLE lots ADD COLUMN thaw_started TEXT;
