-- Who is told of what happens, and how far each telling is.
-- Secrets are kept whole, for whoever signs must have them.

CREATE TABLE webhooks (
    site TEXT NOT NULL,
    code TEXT NOT NULL,
    url TEXT NOT NULL,
    kinds TEXT NOT NULL,
    active BOOLEAN NOT NULL,
    told_up_to BIGINT NOT NULL,
    PRIMARY KEY (site, code)
);

CREATE TABLE webhook_secrets (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    webhook TEXT NOT NULL,
    secret TEXT NOT NULL,
    made_at TEXT NOT NULL,
    ends_at TEXT,
    PRIMARY KEY (site, id)
);

CREATE INDEX webhook_secrets_by_webhook ON webhook_secrets (site, webhook);

CREATE TABLE webhook_deliveries (
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    webhook TEXT NOT NULL,
    notice BIGINT NOT NULL,
    state TEXT NOT NULL,
    tries BIGINT NOT NULL,
    next_try_at TEXT NOT NULL,
    leased_until TEXT NOT NULL,
    settled_at TEXT,
    last_status INTEGER,
    last_words TEXT,
    PRIMARY KEY (site, id)
);

CREATE INDEX webhook_deliveries_by_state ON webhook_deliveries (site, state, next_try_at);
