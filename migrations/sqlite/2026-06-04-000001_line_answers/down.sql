ALTER TABLE order_lines DROP COLUMN sentence;
ALTER TABLE order_lines DROP COLUMN earliest;
ALTER TABLE order_lines DROP COLUMN cutoff;
ALTER TABLE order_lines DROP COLUMN surplus;
