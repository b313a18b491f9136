-- The same text serves both dialects: TEXT, BIGINT, INTEGER and BOOLEAN mean the same in both.
-- Every key begins with the site, so that one database can serve, and be split by, many shops.

CREATE TABLE sites (
    site TEXT NOT NULL,
    plan_revision BIGINT NOT NULL,
    bakery_revision BIGINT NOT NULL,
    PRIMARY KEY (site)
);

CREATE TABLE reference (
    site TEXT NOT NULL,
    noun TEXT NOT NULL,
    code TEXT NOT NULL,
    valid_from TEXT NOT NULL,
    position BIGINT NOT NULL,
    body TEXT NOT NULL,
    etag TEXT NOT NULL,
    PRIMARY KEY (site, noun, code, valid_from)
);

CREATE TABLE orders (
    site TEXT NOT NULL,
    order_ref TEXT NOT NULL,
    order_id TEXT NOT NULL,
    version BIGINT NOT NULL,
    service_date TEXT,
    taken_at TEXT NOT NULL,
    PRIMARY KEY (site, order_ref)
);

CREATE INDEX orders_by_service_date ON orders (site, service_date, order_ref);

CREATE TABLE order_versions (
    site TEXT NOT NULL,
    order_ref TEXT NOT NULL,
    version BIGINT NOT NULL,
    customer TEXT,
    service_date TEXT,
    drop_time TEXT,
    lines_rule TEXT NOT NULL,
    state TEXT NOT NULL,
    cutoff TEXT,
    received_at TEXT NOT NULL,
    fingerprint TEXT NOT NULL,
    plan_revision BIGINT NOT NULL,
    PRIMARY KEY (site, order_ref, version),
    FOREIGN KEY (site, order_ref) REFERENCES orders (site, order_ref)
);

CREATE TABLE order_lines (
    site TEXT NOT NULL,
    order_ref TEXT NOT NULL,
    version BIGINT NOT NULL,
    position BIGINT NOT NULL,
    line_ref TEXT NOT NULL,
    product TEXT NOT NULL,
    quantity_asked TEXT NOT NULL,
    quantity_taken BIGINT NOT NULL,
    state TEXT NOT NULL,
    reason TEXT,
    PRIMARY KEY (site, order_ref, version, position),
    FOREIGN KEY (site, order_ref, version)
        REFERENCES order_versions (site, order_ref, version)
);

CREATE TABLE lots (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    name TEXT NOT NULL,
    item TEXT NOT NULL,
    unit TEXT NOT NULL,
    received TEXT NOT NULL,
    use_by TEXT,
    best_before TEXT,
    usable_until TEXT,
    baked TEXT,
    arrives TEXT,
    place TEXT,
    supplier TEXT,
    state TEXT NOT NULL,
    usage TEXT NOT NULL,
    hold_reason TEXT,
    PRIMARY KEY (site, id)
);

CREATE INDEX lots_by_item ON lots (site, item, id);

CREATE TABLE movements (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    lot TEXT NOT NULL,
    kind TEXT NOT NULL,
    amount_micro BIGINT NOT NULL,
    happened_at TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    reason TEXT,
    PRIMARY KEY (site, id),
    FOREIGN KEY (site, lot) REFERENCES lots (site, id)
);

CREATE INDEX movements_by_lot ON movements (site, lot, id);

CREATE TABLE idempotency (
    site TEXT NOT NULL,
    idempotency_key TEXT NOT NULL,
    fingerprint TEXT NOT NULL,
    status INTEGER NOT NULL,
    etag TEXT,
    body TEXT NOT NULL,
    created_at TEXT NOT NULL,
    PRIMARY KEY (site, idempotency_key)
);
