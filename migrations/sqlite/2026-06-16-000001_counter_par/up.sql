-- What an order means for the counter par of its customer: `on_top`, `out_of`, or nothing said,
-- which is on top.

ALTER TABLE order_versions ADD COLUMN counter_par TEXT;
