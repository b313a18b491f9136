//! Orders under a server that is killed: every acknowledged one is there exactly once, on
//! both databases.
//!
//! `WEIGHHOUSE_CRASH_WRITERS` says how many writers post at once. Each round says how many
//! orders a second were acknowledged, so that a long run shows what load it was held against;
//! a server that was built for release takes more.

use super::{Victim, WRITERS, asked};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
    sync::atomic::{AtomicUsize, Ordering},
    thread,
    time::{Duration, Instant},
};
use weighhouse_tests::{builders::Seed, client::Client, demo, postgres::Postgres};

/// Rounds, and orders begun at most in each, unless more are asked for.
const ROUNDS: usize = 3;
const ORDERS: usize = 60;
/// Rounds on the same books: those of one date never hold the orders of a hundred rounds.
const ROUNDS_OF_A_HOUSE: usize = 10;
/// Tries of one request while the server is busy.
const BUSY_MAX: usize = 100;

fn order(name: &str) -> Value {
    json!({
        "order_ref": name, "version": 1, "customer": "harbour-cafe",
        "service_date": "2026-06-13", "drop": "07:00",
        "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": 1}]
    })
}

/// Answers by the names of orders: as they came, or none if the server died over it.
type Sent = BTreeMap<String, Option<Vec<u8>>>;

/// Posts an order under its own name until the server is not busy.
fn post(client: &Client, name: &str) -> Result<Vec<u8>> {
    for _ in 0..BUSY_MAX {
        let reply = client.post_under("/v1/orders", &order(name), name)?;
        if reply.status != 503 {
            reply.success().with_context(|| name.to_owned())?;
            return Ok(reply.body);
        }
    }
    anyhow::bail!("{name}: the server is busy all the time")
}

/// Posts order after order until all are posted or the server is gone.
fn write(base: &str, round: usize, next: &AtomicUsize, end: usize) -> Sent {
    let client = Client::new(base);
    let mut sent = Sent::new();
    loop {
        let number = next.fetch_add(1, Ordering::SeqCst);
        if number >= end {
            return sent;
        }
        let name = format!("round-{round}-{number}");
        let answer = post(&client, &name).ok();
        let died = answer.is_none();
        sent.insert(name, answer);
        if died {
            return sent;
        }
    }
}

/// Lets writers write and kills the server once `kill_at` orders were begun.
fn round(victim: &mut Victim, round: usize, (kill_at, end): (usize, usize)) -> Result<Sent> {
    let next = AtomicUsize::new(0);
    let base = victim.base.clone();
    let count = asked("WEIGHHOUSE_CRASH_WRITERS", WRITERS)?;
    let began = Instant::now();
    thread::scope(|scope| -> Result<Sent> {
        let start = |_| scope.spawn(|| write(&base, round, &next, end));
        let writers: Vec<_> = (0..count).map(start).collect();
        while next.load(Ordering::SeqCst) < kill_at {
            thread::sleep(Duration::from_micros(200));
        }
        let took = began.elapsed();
        victim.kill()?;
        let mut sent = Sent::new();
        for writer in writers {
            sent.extend(writer.join().map_err(|_| anyhow::anyhow!("a writer died"))?);
        }
        let known = u128::try_from(sent.values().flatten().count())?;
        let rate = known * 1_000_000 / took.as_micros().max(1);
        eprintln!("round {round}: {known} orders acknowledged, {rate}/s, then killed");
        Ok(sent)
    })
}

/// Sends everything again under its key: what was acknowledged is answered byte for byte the
/// same, and of what nobody knew one answer comes, whichever it was.
fn again(client: &Client, sent: &Sent) -> Result<()> {
    for (name, answer) in sent {
        let now = post(client, name)?;
        if let Some(answer) = answer {
            ensure!(now == *answer, "{name} was answered otherwise before the server died");
        }
    }
    Ok(())
}

/// Names of all orders that are held, with how often each stands there.
fn held(client: &Client) -> Result<BTreeMap<String, usize>> {
    let (mut held, mut cursor) = (BTreeMap::new(), String::new());
    loop {
        let page = client.get(&format!("/v1/orders?limit=1000{cursor}"))?.success()?;
        for row in page["rows"].as_array().context("rows")? {
            let name = row["order_ref"].as_str().context("a name")?;
            *held.entry(name.to_owned()).or_default() += 1;
            ensure!(row["version"] == 1, "{row}");
        }
        let Some(next) = page["next"].as_str() else { return Ok(held) };
        cursor = format!("&cursor={next}");
    }
}

/// How many writes of orders had an effect: an answer that is given again writes nothing.
fn effects(client: &Client) -> Result<usize> {
    let (mut count, mut cursor) = (0, String::new());
    loop {
        let page = client.get(&format!("/v1/audit?limit=1000{cursor}"))?.success()?;
        let rows = page["rows"].as_array().context("rows")?;
        count += rows.iter().filter(|row| row["path"] == "/v1/orders").count();
        let Some(next) = page["next"].as_str() else { return Ok(count) };
        cursor = format!("&cursor={next}");
    }
}

/// How many rounds there are in each house, until all that were asked for are done.
fn houses() -> Result<impl Iterator<Item = usize>> {
    let rounds = asked("WEIGHHOUSE_CRASH_ROUNDS", ROUNDS)?;
    let left = (0..rounds).step_by(ROUNDS_OF_A_HOUSE).map(move |done| rounds - done);
    Ok(left.map(|left| left.min(ROUNDS_OF_A_HOUSE)))
}

/// Rounds on one database; the folder is where the server says its address.
fn rounds(folder: &Path, database: Option<&str>, (house, rounds): (usize, usize)) -> Result<()> {
    let orders = asked("WEIGHHOUSE_CRASH_ORDERS", ORDERS)?;
    fs::create_dir_all(folder)?;
    let mut victim = Victim::start_on(folder, database)?;
    Client::new(victim.base.clone()).put_bakery(&demo::document("bakery")?)?.success()?;
    let mut seed = Seed::new(u64::try_from((house + 1) * orders)?);
    let (mut all, mut open) = (0, 0);
    for number in 0..rounds {
        let kill_at = usize::try_from(seed.below(u64::try_from(orders)?))?;
        let sent = round(&mut victim, number, (kill_at, orders))?;
        victim = Victim::start_on(folder, database)?;
        let client = Client::new(victim.base.clone());
        let before = held(&client)?;
        for (name, answer) in &sent {
            let there = before.get(name).copied().unwrap_or(0);
            ensure!(answer.is_none() || there == 1, "{name} was acknowledged and is lost");
            ensure!(there <= 1, "{name} is there {there} times");
        }
        again(&client, &sent).with_context(|| format!("round {number}, killed at {kill_at}"))?;
        all += sent.len();
        open += sent.values().filter(|answer| answer.is_none()).count();
        let held = held(&client)?;
        ensure!(held.len() == all && held.values().all(|count| *count == 1), "{}", held.len());
    }
    ensure!(all > open, "nothing was acknowledged: the rounds prove nothing");
    let written = effects(&Client::new(victim.base.clone()))?;
    ensure!(written == all, "{all} orders under their keys were written {written} times");
    Ok(())
}

fn folder(name: &str) -> PathBuf {
    std::env::temp_dir().join(format!("weighhouse-crash-{name}-{}", std::process::id()))
}

#[test]
fn a_killed_server_holds_every_acknowledged_order_exactly_once() -> Result<()> {
    for (house, count) in houses()?.enumerate() {
        let folder = folder("orders");
        rounds(&folder, None, (house, count)).with_context(|| format!("house {house}"))?;
        fs::remove_dir_all(&folder)?;
    }
    Ok(())
}

#[test]
fn a_killed_server_of_a_database_server_holds_every_acknowledged_order_exactly_once() -> Result<()>
{
    for (house, count) in houses()?.enumerate() {
        let (database, folder) = (Postgres::start()?, folder("served"));
        let database = Some(database.url());
        rounds(&folder, database, (house, count)).with_context(|| format!("house {house}"))?;
        fs::remove_dir_all(&folder)?;
    }
    Ok(())
}
