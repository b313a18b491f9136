//! Tables that are split by shop hold the same book: declarative partitions on a real server.

use super::order;
use crate::{dialects, order_book::servers};
use anyhow::{Context, Result, ensure};
use std::{fs, net::SocketAddr};
use weighhouse::{
    clock::Clock,
    config::{Config, Storage},
    server::{self, Started},
};
use weighhouse_tests::{
    client::Client,
    demo,
    postgres::Postgres,
    server::Server,
    source,
    stockroom::{self, open, open_on},
};

/// Two shops: the one that tests usually serve, and one that comes later.
const SHOPS: [&str; 2] = ["main", "pier"];

fn told(database: &Postgres, sql: &str) -> Result<String> {
    let (done, text) = database.statement(sql)?;
    ensure!(done, "{sql}: {text}");
    Ok(text)
}

/// A server of which every table is split, with partitions for two shops.
fn split() -> Result<Postgres> {
    let database = Postgres::start()?;
    // The first server makes the tables.
    drop(Server::start_on(&database, demo::NOW)?);
    let script = fs::read_to_string(source::root().join("deploy/partition-by-site.sql"))?;
    told(&database, &script)?;
    for shop in SHOPS {
        told(&database, &format!("SELECT partition_shop('{shop}')"))?;
    }
    Ok(database)
}

/// A server of another shop on the same database.
fn shop(database: &Postgres, site: &str) -> Result<(Started, Client)> {
    let config = Config {
        storage: Storage::Postgres(database.url().to_owned()),
        site: site.to_owned(),
        listen: SocketAddr::from(([127, 0, 0, 1], 0)),
        ..Config::embedded("")
    };
    let started = server::start(&config, Clock::Fixed(demo::NOW.parse()?))?;
    let client = Client::new(format!("http://{}", started.address));
    Ok((started, client))
}

#[test]
fn every_table_but_that_of_the_steps_can_be_split() -> Result<()> {
    let database = split()?;
    let whole = "SELECT string_agg(relname, ' ' ORDER BY relname) FROM pg_class \
                 WHERE relkind = 'r' AND NOT relispartition \
                 AND relnamespace = 'public'::regnamespace";
    ensure!(told(&database, whole)? == "__diesel_schema_migrations", "{}", told(&database, whole)?);
    // Keys, references and triggers are all there again.
    let fresh = Postgres::start()?;
    drop(Server::start_on(&fresh, demo::NOW)?);
    for what in [
        "SELECT count(*) FROM pg_constraint WHERE contype IN ('p', 'f') AND conparentid = 0 \
         AND connamespace = 'public'::regnamespace",
        "SELECT count(*) FROM pg_trigger WHERE NOT tgisinternal AND tgparentid = 0",
        "SELECT count(*) FROM pg_index JOIN pg_class ON pg_class.oid = indrelid \
         WHERE NOT relispartition AND relnamespace = 'public'::regnamespace",
    ] {
        let (found, expected) = (told(&database, what)?, told(&fresh, what)?);
        ensure!(found == expected, "{what}: {found} and not {expected}");
    }
    Ok(())
}

#[test]
fn a_split_database_gives_the_same_answers() -> Result<()> {
    let (whole, parts) = (dialects::morning(&open()?)?, dialects::morning(&open_on(&split()?)?)?);
    ensure!(whole.len() > 20, "only {} answers were compared", whole.len());
    ensure!(whole.len() == parts.len(), "{} answers and {}", whole.len(), parts.len());
    for (number, (whole, parts)) in whole.iter().zip(&parts).enumerate() {
        ensure!(whole == parts, "answer {number} differs:\n{whole}\n{parts}");
    }
    let whole = servers::late_orders(Server::start(demo::NOW)?)?;
    let parts = servers::late_orders(Server::start_on(&split()?, demo::NOW)?)?;
    ensure!(whole == parts, "{whole:?}\n{parts:?}");
    Ok(())
}

#[test]
fn many_at_once_meet_on_a_split_database_as_on_a_whole_one() -> Result<()> {
    servers::send_one_order_forty_times(&split()?)
}

#[test]
fn each_shop_lies_in_its_own_partitions() -> Result<()> {
    let database = split()?;
    for site in SHOPS {
        let (started, client) = shop(&database, site)?;
        client.put_bakery(&demo::document("bakery")?)?.success()?;
        stockroom::receive(&client, &serde_json::json!({}))?;
        client.post_order(&order(&format!("of-{site}")))?.success()?;
        let orders = client.get("/v1/orders")?.success()?;
        let rows = orders["rows"].as_array().context("rows")?;
        ensure!(rows.len() == 1, "{site} sees {} orders", rows.len());
        stockroom::check(&client)?;
        started.stop();
    }
    for table in ["orders", "order_lines", "movements", "lots", "idempotency", "sites"] {
        for site in SHOPS {
            let others = format!("SELECT count(*) FROM {table}_{site} WHERE site <> '{site}'");
            ensure!(told(&database, &others)? == "0", "{table} of {site}");
            let own = format!("SELECT count(*) > 0 FROM {table}_{site}");
            ensure!(told(&database, &own)? == "t", "{table} of {site} is empty");
        }
        ensure!(told(&database, &format!("SELECT count(*) FROM {table}_rest"))? == "0");
    }
    // A question of one shop reads its partition alone.
    let plan = told(&database, "EXPLAIN SELECT * FROM movements WHERE site = 'pier'")?;
    ensure!(plan.contains("movements_pier") && !plan.contains("movements_main"), "{plan}");
    Ok(())
}
