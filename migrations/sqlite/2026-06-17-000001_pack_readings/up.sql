-- What somebody read of allergens on the pack of one lot; words as JSON lists.
CREATE TABLE pack_readings (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    lot TEXT NOT NULL,
    contains TEXT NOT NULL,
    may_contain TEXT NOT NULL,
    version TEXT,
    source TEXT,
    who TEXT,
    happened_at TEXT NOT NULL,
    PRIMARY KEY (site, id),
    FOREIGN KEY (site, lot) REFERENCES lots (site, id)
);

CREATE INDEX pack_readings_by_lot ON pack_readings (site, lot, id);
