-- The ledger explains itself: who, by which document, for which load, at which place, and
-- what an entry takes back. Each entry is chained to the one before it.
-- Entries written before this step keep sequence 0; the first link of the chain covers them.

ALTER TABLE movements ADD COLUMN who TEXT;
ALTER TABLE movements ADD COLUMN document TEXT;
ALTER TABLE movements ADD COLUMN load TEXT;
ALTER TABLE movements ADD COLUMN place TEXT NOT NULL DEFAULT '';
ALTER TABLE movements ADD COLUMN reverses TEXT;
ALTER TABLE movements ADD COLUMN sequence BIGINT NOT NULL DEFAULT 0;
ALTER TABLE movements ADD COLUMN previous_hash TEXT NOT NULL DEFAULT '';
ALTER TABLE movements ADD COLUMN hash TEXT NOT NULL DEFAULT '';

CREATE UNIQUE INDEX movements_by_sequence ON movements (site, sequence) WHERE sequence > 0;
-- Nothing is taken back twice.
CREATE UNIQUE INDEX movements_by_reverses ON movements (site, reverses)
    WHERE reverses IS NOT NULL;
CREATE INDEX movements_by_load ON movements (site, load, id) WHERE load IS NOT NULL;
CREATE INDEX movements_by_document ON movements (site, document, id)
    WHERE document IS NOT NULL;
CREATE INDEX movements_by_kind ON movements (site, kind, happened_at);

-- The last link of each chain.
CREATE TABLE ledger_heads (
    site TEXT NOT NULL,
    sequence BIGINT NOT NULL,
    hash TEXT NOT NULL,
    PRIMARY KEY (site)
);

-- What is left of a lot at a place: a copy of a sum, proved against it by a check.
CREATE TABLE balances (
    site TEXT NOT NULL,
    lot TEXT NOT NULL,
    place TEXT NOT NULL,
    balance_micro BIGINT NOT NULL,
    PRIMARY KEY (site, lot, place),
    FOREIGN KEY (site, lot) REFERENCES lots (site, id)
);

INSERT INTO balances (site, lot, place, balance_micro)
SELECT site, lot, '', CAST(SUM(amount_micro) AS BIGINT) FROM movements GROUP BY site, lot;

ALTER TABLE lots ADD COLUMN opened_at TEXT;
ALTER TABLE lots ADD COLUMN frozen_at TEXT;
ALTER TABLE lots ADD COLUMN frozen_days_left BIGINT;
ALTER TABLE lots ADD COLUMN thawed_until TEXT;
ALTER TABLE lots ADD COLUMN accepted_until TEXT;
ALTER TABLE lots ADD COLUMN accepted_by TEXT;
ALTER TABLE lots ADD COLUMN price_minor BIGINT;
ALTER TABLE lots ADD COLUMN price_currency TEXT;
ALTER TABLE lots ADD COLUMN price_per_micro BIGINT;

-- Which lots lie together in a bin: from the first filling to the moment it is empty.
CREATE TABLE bin_lots (
    site TEXT NOT NULL,
    place TEXT NOT NULL,
    lot TEXT NOT NULL,
    entered_at TEXT NOT NULL,
    emptied_at TEXT,
    emptied_by TEXT,
    PRIMARY KEY (site, place, lot, entered_at),
    FOREIGN KEY (site, lot) REFERENCES lots (site, id)
);

-- What was thrown away and where it went; with a lot it is a ledger entry as well.
CREATE TABLE wastes (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    movement TEXT,
    item TEXT NOT NULL,
    unit TEXT NOT NULL,
    amount_micro BIGINT NOT NULL,
    reason TEXT NOT NULL,
    place TEXT,
    batch TEXT,
    route TEXT NOT NULL,
    happened_at TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    who TEXT,
    note TEXT,
    PRIMARY KEY (site, id),
    FOREIGN KEY (site, movement) REFERENCES movements (site, id)
);

CREATE INDEX wastes_by_moment ON wastes (site, happened_at, id);

-- What went into a stage of a load and what came out of it.
CREATE TABLE yield_observations (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    code TEXT NOT NULL,
    stage TEXT NOT NULL,
    load TEXT NOT NULL,
    in_micro BIGINT NOT NULL,
    out_micro BIGINT NOT NULL,
    happened_at TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    who TEXT,
    PRIMARY KEY (site, id)
);

CREATE INDEX yield_observations_by_code ON yield_observations (site, code, stage, id);
