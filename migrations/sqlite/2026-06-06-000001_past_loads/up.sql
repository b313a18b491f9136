-- Loads that were made before this book was kept, written down so that a trace goes on through
-- them. They move no stock: what is counted today stands.

CREATE TABLE past_loads (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    name TEXT NOT NULL,
    formula TEXT NOT NULL,
    made_at TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    who TEXT,
    note TEXT,
    PRIMARY KEY (site, id)
);

CREATE UNIQUE INDEX past_loads_by_name ON past_loads (site, name);

-- What went in (`use`), came out (`make`) and left the house (`send`); what is in no lot, such
-- as water, has none.
CREATE TABLE past_load_lines (
    site TEXT NOT NULL,
    past_load TEXT NOT NULL,
    position BIGINT NOT NULL,
    kind TEXT NOT NULL,
    item TEXT NOT NULL,
    lot TEXT,
    amount_micro BIGINT NOT NULL,
    unit TEXT NOT NULL,
    customer TEXT,
    service_date TEXT,
    drop_time TEXT,
    order_ref TEXT,
    PRIMARY KEY (site, past_load, position),
    FOREIGN KEY (site, past_load) REFERENCES past_loads (site, id),
    FOREIGN KEY (site, lot) REFERENCES lots (site, id)
);

CREATE INDEX past_load_lines_by_lot ON past_load_lines (site, lot, past_load)
    WHERE lot IS NOT NULL;
