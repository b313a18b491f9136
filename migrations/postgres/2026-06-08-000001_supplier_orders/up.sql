-- What is ordered from suppliers: the order as it stands, and each step of its life.

CREATE TABLE supplier_orders (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    number BIGINT NOT NULL,
    supplier TEXT NOT NULL,
    cutoff TEXT NOT NULL,
    arrives TEXT NOT NULL,
    state TEXT NOT NULL,
    who TEXT NOT NULL,
    happened_at TEXT NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (site, id)
);

-- The number of an order is never given twice: it is what people say on the telephone.
CREATE UNIQUE INDEX supplier_orders_by_number ON supplier_orders (site, number);

CREATE INDEX supplier_orders_by_state ON supplier_orders (site, state, number);

CREATE TABLE supplier_order_events (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    order_id TEXT NOT NULL,
    step TEXT NOT NULL,
    who TEXT NOT NULL,
    happened_at TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    body TEXT NOT NULL,
    note TEXT,
    plan_revision BIGINT NOT NULL,
    PRIMARY KEY (site, id),
    FOREIGN KEY (site, order_id) REFERENCES supplier_orders (site, id)
);

CREATE INDEX supplier_order_events_by_order ON supplier_order_events (site, order_id, id);
