DROP TABLE yield_observations;
DROP TABLE wastes;
DROP TABLE bin_lots;

ALTER TABLE lots DROP COLUMN price_per_micro;
ALTER TABLE lots DROP COLUMN price_currency;
ALTER TABLE lots DROP COLUMN price_minor;
ALTER TABLE lots DROP COLUMN accepted_by;
ALTER TABLE lots DROP COLUMN accepted_until;
ALTER TABLE lots DROP COLUMN thawed_until;
ALTER TABLE lots DROP COLUMN frozen_days_left;
ALTER TABLE lots DROP COLUMN frozen_at;
ALTER TABLE lots DROP COLUMN opened_at;

DROP TABLE balances;
DROP TABLE ledger_heads;

DROP INDEX movements_by_kind;
DROP INDEX movements_by_document;
DROP INDEX movements_by_load;
DROP INDEX movements_by_reverses;
DROP INDEX movements_by_sequence;

ALTER TABLE movements DROP COLUMN hash;
ALTER TABLE movements DROP COLUMN previous_hash;
ALTER TABLE movements DROP COLUMN sequence;
ALTER TABLE movements DROP COLUMN reverses;
ALTER TABLE movements DROP COLUMN place;
ALTER TABLE movements DROP COLUMN load;
ALTER TABLE movements DROP COLUMN document;
ALTER TABLE movements DROP COLUMN who;
