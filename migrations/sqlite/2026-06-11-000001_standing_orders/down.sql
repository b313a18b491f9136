ALTER TABLE order_versions DROP COLUMN standing;
