-- Who may ask for what, and what was written by whom.
-- A token's secret is kept as its digest only.

CREATE TABLE tokens (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    name TEXT NOT NULL,
    job TEXT NOT NULL,
    secret_hash TEXT NOT NULL,
    made_at TEXT NOT NULL,
    expires_at TEXT,
    revoked_at TEXT,
    PRIMARY KEY (site, id)
);

CREATE TABLE audit_entries (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    written_at TEXT NOT NULL,
    who TEXT NOT NULL,
    token_id TEXT,
    method TEXT NOT NULL,
    path TEXT NOT NULL,
    status INTEGER NOT NULL,
    request_id TEXT NOT NULL,
    PRIMARY KEY (site, id)
);
