ALTER TABLE order_versions DROP COLUMN counter_par;
