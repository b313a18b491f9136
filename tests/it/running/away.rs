//! A database that goes away under load: nothing half done, and nobody has to be restarted.

use super::order;
use anyhow::{Context, Result, bail, ensure};
use serde_json::json;
use std::{
    sync::atomic::{AtomicUsize, Ordering},
    thread,
    time::Duration,
};
use weighhouse_tests::{client::Client, demo, postgres::Postgres, server::Server};

/// Tills that post at once, and the orders of each.
const TILLS: usize = 4;
const ORDERS: usize = 25;
/// Times that a till sends an order again before it gives up: a minute.
const TRIES_MAX: usize = 1_200;

/// What the tills together have seen.
#[derive(Debug, Default)]
struct Seen {
    acknowledged: AtomicUsize,
    told_to_wait: AtomicUsize,
}

fn wait() {
    thread::sleep(Duration::from_millis(50));
}

/// Posts orders one after another, each under its key until it is acknowledged.
fn till(base: &str, number: usize, seen: &Seen) -> Result<()> {
    let client = Client::new(base);
    for count in 0..ORDERS {
        let name = format!("till-{number}-{count}");
        let mut tries = 0;
        loop {
            let reply = client.post_under("/v1/orders", &order(&name), &name)?;
            if reply.status == 201 {
                break;
            }
            let known = reply.is_problem("store-away")? || reply.is_problem("store-busy")?;
            ensure!(reply.status == 503 && known, "{}: {}", reply.status, reply.text());
            ensure!(reply.retry_after.is_some(), "nobody says when to come again");
            seen.told_to_wait.fetch_add(1, Ordering::SeqCst);
            tries += 1;
            ensure!(tries < TRIES_MAX, "order {name} is never taken: {}", reply.text());
            wait();
        }
        seen.acknowledged.fetch_add(1, Ordering::SeqCst);
    }
    Ok(())
}

/// Waits until so much was seen.
fn until(count: &AtomicUsize, enough: usize) -> Result<()> {
    for _ in 0..TRIES_MAX {
        if count.load(Ordering::SeqCst) >= enough {
            return Ok(());
        }
        wait();
    }
    bail!("{} of {enough} were seen in a minute", count.load(Ordering::SeqCst))
}

/// What is said of health and readiness.
fn says(client: &Client) -> Result<(u16, u16)> {
    Ok((client.get("/healthz")?.status, client.get("/readyz")?.status))
}

/// Stops and starts the database while orders come.
fn interrupt(database: &Postgres, client: &Client, seen: &Seen) -> Result<()> {
    for round in 1..=2 {
        until(&seen.acknowledged, round * TILLS * ORDERS / 4)?;
        database.stop()?;
        let told = seen.told_to_wait.load(Ordering::SeqCst);
        until(&seen.told_to_wait, told + 2 * TILLS)?;
        ensure!(says(client)? == (200, 503), "down: {:?}", says(client)?);
        ensure!(client.get("/readyz")?.is_problem("store-away")?, "why it is not ready");
        database.go_on()?;
    }
    Ok(())
}

#[test]
fn orders_outlive_a_restart_of_the_database() -> Result<()> {
    let database = Postgres::start()?;
    let server = Server::start_on(&database, demo::NOW)?;
    let client = server.client();
    client.put_bakery(&demo::document("bakery")?)?.success()?;
    let revision = |client: &Client| -> Result<i64> {
        let ready = client.get("/readyz")?.success()?;
        ready["plan_revision"].as_i64().context("a revision")
    };
    let before = revision(client)?;
    let seen = Seen::default();
    let base = client.base();
    thread::scope(|scope| -> Result<()> {
        let seen = &seen;
        let tills: Vec<_> =
            (0..TILLS).map(|number| scope.spawn(move || till(base, number, seen))).collect();
        interrupt(&database, client, seen)?;
        for till in tills {
            till.join().map_err(|_| anyhow::anyhow!("a till died"))??;
        }
        Ok(())
    })?;
    ensure!(says(client)? == (200, 200), "up again: {:?}", says(client)?);
    // Every order had one effect: one revision, one version, all of its line.
    ensure!(revision(client)? == before + i64::try_from(TILLS * ORDERS)?, "revisions");
    let held = client.get("/v1/orders?service_date=2026-06-13&limit=1000")?.success()?;
    let rows = held["rows"].as_array().context("rows")?;
    ensure!(rows.len() == TILLS * ORDERS, "{} orders are held", rows.len());
    for row in rows {
        let lines = row["lines"].as_array().context("lines")?;
        let whole = lines.len() == 1 && lines[0]["quantity_taken"] == json!(6);
        ensure!(row["version"] == json!(1) && whole, "{row}");
    }
    Ok(())
}

#[test]
fn a_database_that_may_only_be_read_says_so() -> Result<()> {
    let database = Postgres::start()?;
    let server = Server::start_on(&database, demo::NOW)?;
    let client = server.client();
    client.put_bakery(&demo::document("bakery")?)?.success()?;
    let set = |word: &str| -> Result<()> {
        for sql in [
            format!("ALTER SYSTEM SET default_transaction_read_only = {word}"),
            "SELECT pg_reload_conf()".to_owned(),
        ] {
            let (done, text) = database.statement(&sql)?;
            ensure!(done, "{sql}: {text}");
        }
        Ok(())
    };
    set("on")?;
    // The signal reaches each process of the database in its own time.
    let mut reply = client.post_under("/v1/orders", &order("first"), "first")?;
    let mut name = String::from("first");
    for number in 0..100 {
        if reply.status != 201 {
            break;
        }
        wait();
        name = format!("order-{number}");
        reply = client.post_under("/v1/orders", &order(&name), &name)?;
    }
    ensure!(reply.status == 503 && reply.is_problem("store-read-only")?, "{}", reply.text());
    ensure!(reply.retry_after.is_some(), "nobody says when to come again");
    client.get("/v1/work-dates/2026-06-12/weigh-out")?.success()?;
    set("off")?;
    for _ in 0..100 {
        reply = client.post_under("/v1/orders", &order(&name), &name)?;
        if reply.status == 201 {
            return Ok(());
        }
        wait();
    }
    bail!("it never recovers: {}", reply.text())
}
