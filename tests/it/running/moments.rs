//! A clock that steps back: what was written stays, and what comes after it counts.

use super::order;
use anyhow::{Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo, server::Server, stockroom};

/// Every name of a list that comes in pages.
fn names(client: &Client, path: &str, key: &str) -> Result<Vec<Value>> {
    let mut names = Vec::new();
    let mut page = client.get(&format!("{path}?limit=2"))?.success()?;
    loop {
        names.extend(page["rows"].as_array().into_iter().flatten().map(|row| row[key].clone()));
        let Some(next) = page["next"].as_str() else { return Ok(names) };
        page = client.get(&format!("{path}?limit=2&cursor={next}"))?.success()?;
    }
}

#[test]
fn a_clock_that_steps_back_a_day_loses_nothing() -> Result<()> {
    let server = stockroom::open()?;
    let before = stockroom::id(&stockroom::receive(server.client(), &json!({"lot": "A"}))?)?;
    let first = server.client().post_under("/v1/orders", &order("one"), "one")?;
    first.success()?;
    let server = server.at("2026-06-09T09:30:00+02:00")?;
    let client = server.client();
    // A retry of tomorrow's request is a retry.
    let again = client.post_under("/v1/orders", &order("one"), "one")?;
    ensure!(again.replayed && again.body == first.body, "{}", again.text());
    let after = stockroom::id(&stockroom::receive(client, &json!({"lot": "B"}))?)?;
    let gram =
        json!({"lot": before, "quantity": {"amount": "1", "unit": "g"}, "reason": "spilled"});
    client.post("/v1/waste", &gram)?.success()?;
    let mut amended = order("one");
    amended["version"] = json!(2);
    amended["lines"][0]["quantity"] = json!(9);
    let answer = client.post_order(&amended)?.success()?;
    ensure!(answer["version"] == 2 && answer["lines"][0]["quantity_taken"] == 9, "{answer}");
    // Pages leave nothing out and repeat nothing.
    let lots = names(client, "/v1/lots", "id")?;
    ensure!(lots.len() == 2 && lots.contains(&json!(before)) && lots.contains(&json!(after)));
    let mut entries = names(client, "/v1/movements", "id")?;
    ensure!(entries.len() == 3, "{entries:?}");
    entries.dedup();
    ensure!(entries.len() == 3, "an entry came twice");
    stockroom::check(client)?;
    let server = server.at(demo::NOW)?;
    let held = server.client().get("/v1/orders/one")?.success()?;
    ensure!(held["version"] == 2, "{held}");
    stockroom::check(server.client())?;
    Ok(())
}

#[test]
fn a_plan_under_a_clock_that_stepped_back_is_that_of_its_own_moment() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    server.client().post_order(&order("one"))?.success()?;
    let server = server.at("2026-06-08T09:30:00+02:00")?;
    let early = server.client().weigh_out("2026-06-12")?;
    let beside = server.beside("2026-06-08T09:30:00+02:00")?.client().weigh_out("2026-06-12")?;
    ensure!(early == beside, "two servers of one moment say two things");
    Ok(())
}
