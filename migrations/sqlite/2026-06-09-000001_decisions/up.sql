-- What people decided where there is too little: orders cut, and substitutes signed for.
-- A row that takes another back names it.

CREATE TABLE decisions (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    service_date TEXT NOT NULL,
    body TEXT NOT NULL,
    note TEXT NOT NULL,
    who TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    plan_revision BIGINT NOT NULL,
    takes_back TEXT,
    PRIMARY KEY (site, id),
    FOREIGN KEY (site, takes_back) REFERENCES decisions (site, id)
);

CREATE INDEX decisions_by_service_date ON decisions (site, service_date, id);

CREATE INDEX decisions_by_takes_back ON decisions (site, takes_back);

CREATE TABLE sign_offs (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    service_date TEXT NOT NULL,
    substitute TEXT NOT NULL,
    body TEXT NOT NULL,
    note TEXT NOT NULL,
    who TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    plan_revision BIGINT NOT NULL,
    takes_back TEXT,
    PRIMARY KEY (site, id),
    FOREIGN KEY (site, takes_back) REFERENCES sign_offs (site, id)
);

CREATE INDEX sign_offs_by_service_date ON sign_offs (site, service_date, id);

CREATE INDEX sign_offs_by_takes_back ON sign_offs (site, takes_back);
