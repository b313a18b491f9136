//! Many writers at once: entries queue, none is lost, and the chain stays whole.

use anyhow::{Context, Result, ensure};
use num_rational::BigRational;
use serde_json::json;
use std::thread;
use weighhouse_tests::{
    client::Client,
    exact::whole,
    stockroom::{amount, check, id, open, receive},
};

/// Threads that write, and commands of each.
const WRITERS: i64 = 8;
const COMMANDS: i64 = 20;

/// Takes one gram after the other out of a lot, and moves one to and fro.
fn write(base: &str, lot: &str, writer: i64) -> Result<()> {
    let client = Client::new(base);
    for command in 0..COMMANDS {
        let key = format!("writer-{writer}-{command}");
        let gram = json!({"amount": "1", "unit": "g"});
        let waste = json!({"lot": lot, "quantity": gram, "reason": "spilled"});
        client.post_under("/v1/waste", &waste, &key)?.success()?;
        let moved = json!({"lot": lot, "from": "dry-store", "to": "weigh-room", "quantity": gram});
        client.post_under("/v1/moves", &moved, &format!("{key}-move"))?.success()?;
    }
    Ok(())
}

#[test]
fn writers_at_once_lose_nothing_and_leave_one_chain() -> Result<()> {
    let server = open()?;
    let client = server.client();
    let lot = id(&receive(client, &json!({}))?)?;
    thread::scope(|scope| {
        let start = |writer| {
            let lot = &lot;
            let base = client.base();
            scope.spawn(move || write(base, lot, writer))
        };
        let threads: Vec<_> = (0..WRITERS).map(start).collect();
        for thread in threads {
            thread.join().map_err(|_| anyhow::anyhow!("a writer died"))??;
        }
        Ok::<_, anyhow::Error>(())
    })?;
    let held = client.get(&format!("/v1/lots/{lot}"))?.success()?;
    let taken = WRITERS * COMMANDS;
    ensure!(amount(&held["quantity"])? == whole(25_000 - taken), "{held}");
    let left: Vec<BigRational> = held["places"]
        .as_array()
        .context("places")?
        .iter()
        .map(|left| amount(&left["quantity"]))
        .collect::<Result<_>>()?;
    ensure!(left == [whole(25_000 - 2 * taken), whole(taken)], "{held}");
    let checked = check(client)?;
    ensure!(checked["entries"] == 1 + 3 * taken, "{checked}");
    Ok(())
}
