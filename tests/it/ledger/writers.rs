//! Many writers at once: entries queue, none is lost, and the chain stays whole.

use anyhow::{Context, Result, ensure};
use num_rational::BigRational;
use serde_json::{Value, json};
use std::{
    collections::{BTreeMap, BTreeSet},
    thread,
};
use weighhouse_tests::{
    builders::Seed,
    client::{Client, Reply},
    exact::whole,
    postgres::Postgres,
    server::Server,
    stockroom::{amount, check, id, open, open_on, receive},
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

/// Places among which random writers carry things.
const PLACES: [&str; 3] = ["dry-store", "weigh-room", "flour-bin"];
/// Random commands of each random writer.
const RANDOM_COMMANDS: usize = 12;

/// Ids of entries that a command was answered with.
fn written(answer: &Value) -> Vec<String> {
    let text = |id: &Value| id.as_str().map(str::to_owned);
    let list = |id: &Value| match id {
        Value::Object(entry) => entry.get("id").and_then(text),
        id => text(id),
    };
    let all = answer["movements"].as_array().into_iter().flatten().filter_map(list);
    all.chain(text(&answer["movement"])).collect()
}

/// Sends under a key until the database is not busy, as every till does.
fn patiently(client: &Client, path: &str, body: &Value, key: &str) -> Result<Reply> {
    for _ in 0..50 {
        let reply = client.post_under(path, body, key)?;
        if reply.status != 503 {
            return Ok(reply);
        }
        thread::sleep(std::time::Duration::from_millis(50));
    }
    anyhow::bail!("{path}: the database stays busy")
}

/// Does what chance says to lots that all share; returns the entries that were acknowledged.
fn write_at_random(base: &str, lots: &[String], writer: u64) -> Result<Vec<String>> {
    let client = Client::new(base);
    let mut seed = Seed::new(writer);
    let mut acknowledged: Vec<String> = Vec::new();
    for command in 0..RANDOM_COMMANDS {
        let (lot, place) = (seed.pick(lots), seed.pick(&PLACES));
        let grams = json!({"amount": seed.between(1, 50).to_string(), "unit": "g"});
        let (path, body) = match seed.below(8) {
            0..=1 => {
                let to = seed.pick(&PLACES);
                let to = if to == place { "chiller" } else { to };
                (
                    "/v1/moves".to_owned(),
                    json!({"lot": lot, "from": place, "to": to, "quantity": grams}),
                )
            }
            2..=3 => (
                "/v1/waste".to_owned(),
                json!({"lot": lot, "place": place, "quantity": grams, "reason": "spilled"}),
            ),
            4 => (
                "/v1/counts".to_owned(),
                json!({"lot": lot, "place": place,
                "quantity": grams, "counted_at": "2026-06-10T09:30:00+02:00"}),
            ),
            5 => ("/v1/bins/flour-bin/draws".to_owned(), json!({"quantity": grams})),
            6 if writer.is_multiple_of(2) => ("/v1/bins/flour-bin/emptied".to_owned(), json!({})),
            _ => match acknowledged.is_empty() {
                true => continue,
                false => {
                    let id = seed.pick(&acknowledged);
                    (format!("/v1/movements/{id}/correct"), json!({"reason": "not so"}))
                }
            },
        };
        let key = format!("random-{writer}-{command}");
        let reply = patiently(&client, &path, &body, &key)?;
        // Nothing in the bin, or taken back already: a refusal, and nothing was written.
        if reply.status == 409 || reply.status == 422 {
            continue;
        }
        let answer = reply.success().with_context(|| format!("{path} {body}"))?;
        acknowledged.extend(written(&answer));
        let again = patiently(&client, &path, &body, &key)?;
        ensure!(again.replayed && again.body == reply.body, "{path}: once, whoever asks twice");
    }
    Ok(acknowledged)
}

/// Random commands of several writers at once leave a ledger that proves itself, in which
/// every acknowledged entry stands once and every balance is the sum of its entries.
fn chance_of_many(server: &Server, seed: u64) -> Result<()> {
    let client = server.client();
    let lots: Vec<String> = (0..3)
        .map(|number| id(&receive(client, &json!({"lot": format!("R-{number}")}))?))
        .collect::<Result<_>>()?;
    let acknowledged = thread::scope(|scope| {
        let start = |writer| {
            let (lots, base) = (&lots, client.base());
            scope.spawn(move || write_at_random(base, lots, seed * 100 + writer))
        };
        let threads: Vec<_> = (0..6).map(start).collect();
        let mut all = Vec::new();
        for thread in threads {
            all.extend(thread.join().map_err(|_| anyhow::anyhow!("a writer died"))??);
        }
        Ok::<_, anyhow::Error>(all)
    })?;
    ensure!(acknowledged.len() >= 30, "only {} entries were written", acknowledged.len());
    let checked = check(client)?;
    let rows = client.get("/v1/movements?limit=1000")?.success()?;
    let rows = rows["rows"].as_array().context("rows")?;
    ensure!(checked["entries"] == rows.len(), "{checked}, listed {}", rows.len());
    let listed: BTreeSet<&str> = rows.iter().filter_map(|row| row["id"].as_str()).collect();
    ensure!(listed.len() == rows.len(), "an entry stands twice");
    for entry in &acknowledged {
        ensure!(listed.contains(entry.as_str()), "{entry} was acknowledged and is lost");
    }
    let mut sums: BTreeMap<(String, String), BigRational> = BTreeMap::new();
    for row in rows {
        let text = |key: &str| row[key].as_str().unwrap_or_default().to_owned();
        let sum = sums.entry((text("lot"), text("place")));
        *sum.or_insert_with(|| whole(0)) += amount(&row["amount"])?;
    }
    for lot in &lots {
        let held = client.get(&format!("/v1/lots/{lot}"))?.success()?;
        for left in held["places"].as_array().context("places")? {
            let place = left["place"].as_str().unwrap_or_default().to_owned();
            let sum = sums.remove(&(lot.clone(), place.clone())).unwrap_or_else(|| whole(0));
            ensure!(amount(&left["quantity"])? == sum, "{place} of {lot}: {sum}, {held}");
        }
    }
    let rest: Vec<_> = sums.values().filter(|sum| **sum != whole(0)).collect();
    ensure!(rest.is_empty(), "entries without a balance: {rest:?}");
    Ok(())
}

#[test]
fn random_writers_at_once_leave_a_ledger_that_proves_itself() -> Result<()> {
    for seed in 1..=2 {
        chance_of_many(&open()?, seed).with_context(|| format!("seed {seed}"))?;
    }
    Ok(())
}

#[test]
fn random_writers_at_once_leave_the_same_on_postgresql() -> Result<()> {
    let database = Postgres::start()?;
    chance_of_many(&open_on(&database)?, 3).context("seed 3")
}
