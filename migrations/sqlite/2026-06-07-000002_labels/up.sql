-- Who confirmed that the labels of a product lot say what was added to their plan.
CREATE TABLE label_confirmations (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    lot TEXT NOT NULL,
    added TEXT NOT NULL,
    who TEXT NOT NULL,
    note TEXT,
    happened_at TEXT NOT NULL,
    PRIMARY KEY (site, id),
    FOREIGN KEY (site, lot) REFERENCES product_lots (site, lot)
);

CREATE INDEX label_confirmations_by_lot ON label_confirmations (site, lot, id);
