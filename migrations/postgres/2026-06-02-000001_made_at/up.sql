-- When a made lot was mixed or built: its age counts from here.
ALTER TABLE lots ADD COLUMN made_at TEXT;
