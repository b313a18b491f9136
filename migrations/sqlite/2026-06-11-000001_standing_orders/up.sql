-- What an order means for a standing order of the same customer, date and drop:
-- `replaces`, `adds`, or nothing said.

ALTER TABLE order_versions ADD COLUMN standing TEXT;
