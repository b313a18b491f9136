-- What was said of a line when it was taken: it must read the same whenever it is asked again.

ALTER TABLE order_lines ADD COLUMN surplus BIGINT NOT NULL DEFAULT 0;
ALTER TABLE order_lines ADD COLUMN cutoff TEXT;
ALTER TABLE order_lines ADD COLUMN earliest TEXT;
ALTER TABLE order_lines ADD COLUMN sentence TEXT;
