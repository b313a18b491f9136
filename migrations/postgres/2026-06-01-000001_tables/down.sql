DROP TABLE idempotency;
DROP TABLE movements;
DROP TABLE lots;
DROP TABLE order_lines;
DROP TABLE order_versions;
DROP TABLE orders;
DROP TABLE reference;
DROP TABLE sites;
