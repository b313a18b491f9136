-- The life of a load: what was released, each step of it, what people set by hand,
-- what was printed, and what made each plan revision.

CREATE TABLE loads (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    formula TEXT NOT NULL,
    service_date TEXT NOT NULL,
    number BIGINT NOT NULL,
    state TEXT NOT NULL,
    starts_at TEXT NOT NULL,
    who TEXT NOT NULL,
    happened_at TEXT NOT NULL,
    body TEXT NOT NULL,
    lot TEXT,
    PRIMARY KEY (site, id),
    FOREIGN KEY (site, lot) REFERENCES lots (site, id)
);

-- The number of a load is never given twice, so that two sheets never name two loads alike.
CREATE UNIQUE INDEX loads_by_service_date ON loads (site, service_date, formula, number);

CREATE INDEX loads_by_lot ON loads (site, lot);

CREATE TABLE load_events (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    load_id TEXT NOT NULL,
    step TEXT NOT NULL,
    who TEXT NOT NULL,
    happened_at TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    body TEXT NOT NULL,
    note TEXT,
    plan_revision BIGINT NOT NULL,
    PRIMARY KEY (site, id),
    FOREIGN KEY (site, load_id) REFERENCES loads (site, id)
);

CREATE INDEX load_events_by_load ON load_events (site, load_id, id);

CREATE TABLE overrides (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    service_date TEXT NOT NULL,
    kind TEXT NOT NULL,
    code TEXT NOT NULL,
    value TEXT,
    note TEXT NOT NULL,
    who TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    plan_revision BIGINT NOT NULL,
    PRIMARY KEY (site, id)
);

CREATE INDEX overrides_by_service_date ON overrides (site, service_date, id);

CREATE TABLE prints (
    site TEXT NOT NULL,
    work_date TEXT NOT NULL,
    sheet TEXT NOT NULL,
    plan_revision BIGINT NOT NULL,
    printed_at TEXT NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (site, work_date, sheet, plan_revision)
);

CREATE TABLE revisions (
    site TEXT NOT NULL,
    plan_revision BIGINT NOT NULL,
    made_at TEXT NOT NULL,
    cause TEXT NOT NULL,
    PRIMARY KEY (site, plan_revision)
);
