-- What happened, numbered in the order in which it was committed: the row is written in the
-- transaction of what it tells of. And which shortages were told of last.

CREATE TABLE notices (
    site TEXT NOT NULL,
    number BIGINT NOT NULL,
    kind TEXT NOT NULL,
    made_at TEXT NOT NULL,
    plan_revision BIGINT NOT NULL,
    about TEXT NOT NULL,
    words TEXT NOT NULL,
    facts TEXT,
    PRIMARY KEY (site, number)
);

CREATE TABLE shortage_watches (
    site TEXT NOT NULL,
    plan_revision BIGINT NOT NULL,
    looked_at TEXT NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (site)
);
