-- What pieces became: a lot of one product, for which service date, and from which load.
CREATE TABLE product_lots (
    site TEXT NOT NULL,
    lot TEXT NOT NULL,
    product TEXT NOT NULL,
    service_date TEXT NOT NULL,
    load TEXT,
    document TEXT NOT NULL,
    started BIGINT NOT NULL,
    PRIMARY KEY (site, lot),
    FOREIGN KEY (site, lot) REFERENCES lots (site, id)
);

CREATE INDEX product_lots_by_date ON product_lots (site, service_date, product);
CREATE INDEX product_lots_by_load ON product_lots (site, load, product) WHERE load IS NOT NULL;
