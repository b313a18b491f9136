//! Retries: the first answer again, and nothing done twice.

use super::{SERVICE_DATE, order};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use std::thread;
use weighhouse_tests::{
    client::{Client, Reply},
    demo::loaded,
    server::Server,
};

fn receipt() -> Value {
    json!({
        "item": "rye",
        "lot": "RY-77",
        "quantity": {"amount": "2.5", "unit": "kg"},
        "received": "2026-06-10",
        "best_before": "2026-09-01",
    })
}

fn lots(client: &Client) -> Result<Vec<Value>> {
    let answer = client.get("/v1/lots?item=rye")?.success()?;
    answer["rows"].as_array().cloned().context("a list of lots")
}

#[test]
fn a_retry_gets_the_first_answer_byte_for_byte() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    let first = client.post_under("/v1/orders", &order(1, 6), "an-order")?;
    first.success()?;
    ensure!(!first.replayed, "the first answer is no replay");
    // Something else happens in between.
    client.post_order(&order(2, 9))?.success()?;
    let again = client.post_under("/v1/orders", &order(1, 6), "an-order")?;
    ensure!(again.replayed, "a retry says that it is one");
    ensure!((again.status, &again.body) == (first.status, &first.body), "{}", again.text());
    let held = client.get("/v1/orders/till-1-000001")?.success()?;
    ensure!(held["version"] == 2, "a retry changes nothing: {held}");
    // The same key with another body is a mistake.
    let other = client.post_under("/v1/orders", &order(1, 7), "an-order")?;
    ensure!(other.status == 422 && other.is_problem("key-reused")?, "{}", other.text());
    Ok(())
}

#[test]
fn an_order_sent_twice_under_two_keys_is_held_once() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    let first = client.post_under("/v1/orders", &order(1, 6), "one")?.success()?;
    let again = client.post_under("/v1/orders", &order(1, 6), "two")?.success()?;
    ensure!(first["order_id"] == again["order_id"], "{first} and {again}");
    let answer = client.requirements(SERVICE_DATE)?;
    let pieces = answer["pieces"].as_array().context("pieces")?;
    ensure!(pieces.len() == 1 && pieces[0]["ordered"] == 6, "{pieces:?}");
    // A version that is lower than the one held has no effect.
    client.post_order(&order(3, 8))?.success()?;
    let late = client.post_order(&order(2, 50))?.success()?;
    ensure!(late["stale"] == true, "{late}");
    let answer = client.requirements(SERVICE_DATE)?;
    ensure!(answer["pieces"][0]["ordered"] == 8, "{answer}");
    Ok(())
}

/// Sends one request from several callers at the same moment.
fn at_once(server: &Server, path: &str, body: &Value, keys: &[&str]) -> Result<Vec<Reply>> {
    let start = std::sync::Barrier::new(keys.len());
    thread::scope(|scope| {
        let callers: Vec<_> = keys
            .iter()
            .map(|key| {
                let (base, start) = (server.client().base().to_owned(), &start);
                scope.spawn(move || {
                    let client = Client::new(base);
                    start.wait();
                    client.post_under(path, body, key)
                })
            })
            .collect();
        let answer = |caller: thread::ScopedJoinHandle<'_, Result<Reply>>| match caller.join() {
            Ok(reply) => reply,
            Err(_) => anyhow::bail!("a caller panicked"),
        };
        callers.into_iter().map(answer).collect()
    })
}

#[test]
fn two_identical_requests_at_once_count_once() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    for round in 0..5 {
        let key = format!("receipt-{round}");
        let replies = at_once(&server, "/v1/receipts", &receipt(), &[&key, &key])?;
        for reply in &replies {
            reply.success()?;
        }
        ensure!(replies[0].body == replies[1].body, "two answers to one request");
        let replayed = replies.iter().filter(|reply| reply.replayed).count();
        ensure!(replayed == 1, "{replayed} of two identical requests were replays");
        let lots = lots(client)?;
        ensure!(lots.len() == round + 1, "{} lots of {} receipts", lots.len(), round + 1);
    }
    Ok(())
}

#[test]
fn one_order_at_once_from_two_tills_is_held_once() -> Result<()> {
    let server = loaded()?;
    let replies = at_once(&server, "/v1/orders", &order(1, 6), &["till-1", "till-2"])?;
    let mut ids = Vec::new();
    for reply in &replies {
        ids.push(reply.success()?["order_id"].clone());
    }
    ensure!(ids[0] == ids[1], "one order has two ids: {ids:?}");
    let answer = server.client().requirements(SERVICE_DATE)?;
    ensure!(answer["pieces"][0]["ordered"] == 6, "{answer}");
    Ok(())
}
