//! Orders to suppliers, through the API: from the sheet to the shelf.
//!
//! # Source
//! The trade rules, part 3; the numbers are those of alder-yard.md 8.9 D.

mod formats;
mod life;
mod packs;
mod receiving;

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo, server::Server};

fn demo_server() -> Result<Server> {
    demo::serve(&demo::document("bakery")?)
}

/// A draft of what the plan proposes for the dairy's next cutoff.
fn draft(client: &Client) -> Result<Value> {
    let body = json!({"supplier": "dairy", "until": "2026-06-13", "who": "Imre"});
    client.post("/v1/supplier-orders", &body)?.success()
}

/// Takes an order one step further.
fn step(client: &Client, order: &Value, step: &str, body: &Value) -> Result<Value> {
    client.post(&path(order, step)?, body)?.success().with_context(|| step.to_owned())
}

fn path(order: &Value, step: &str) -> Result<String> {
    Ok(format!("/v1/supplier-orders/{}/{step}", order["id"].as_str().context("an id")?))
}

/// The number of the line of an item.
fn line(order: &Value, item: &str) -> Result<i64> {
    let lines = order["lines"].as_array().context("lines")?;
    let found = lines.iter().find(|line| line["item"] == item);
    found.and_then(|line| line["line"].as_i64()).with_context(|| format!("no {item}: {order}"))
}

/// Item and packs of all lines.
fn packs(order: &Value) -> Vec<(String, i64)> {
    let lines = order["lines"].as_array().into_iter().flatten();
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    lines.map(|line| (text(&line["item"]), line["packs"].as_i64().unwrap_or(-1))).collect()
}

/// What the shortage sheet says of an item, covered or not.
fn on_sheet(client: &Client, item: &str) -> Result<Value> {
    let sheet = client.shortages("2026-06-13")?;
    let groups = sheet["groups"].as_array().into_iter().flatten();
    let lines = groups.flat_map(|group| group["lines"].as_array().into_iter().flatten());
    let covered = sheet["covered"].as_array().into_iter().flatten();
    let found = lines.chain(covered).find(|line| line["item"] == item);
    found.cloned().with_context(|| format!("no {item} on the sheet"))
}

fn expect(client: &Client, order: &Value, of: &str, body: &Value, slug: &str) -> Result<String> {
    let reply = client.post(&path(order, of)?, body)?;
    ensure!(reply.is_problem(slug)?, "{of}: expected {slug}, found {}", reply.text());
    Ok(reply.text())
}

#[test]
fn holidays_are_proposed_and_a_person_keeps_them() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let known = client.get("/v1/holidays")?.success()?;
    ensure!(known["countries"].to_string().contains("\"NL\""), "{known}");
    let proposed = client.get("/v1/holidays/NL?year=2026")?.success()?;
    // Source: the Dutch calendar of 2026: King's Day on a Monday, Whit Monday on 25 May.
    for date in ["2026-04-27", "2026-05-25", "2026-12-25"] {
        ensure!(proposed["dates"].to_string().contains(date), "{date}: {proposed}");
    }
    for path in [
        "/v1/holidays/XX?year=2026",
        "/v1/holidays/NL?year=1999",
        "/v1/holidays/NL?year=2026&part=QQ",
    ] {
        ensure!(client.get(path)?.is_problem("not-found")?, "{path}");
    }
    let reply = client.get("/v1/suppliers/dairy")?;
    let mut dairy = reply.success()?;
    dairy["holidays"] = proposed["dates"].clone();
    client.put("/v1/suppliers/dairy", &dairy, reply.etag.as_deref())?.success()?;
    // Christmas is a Friday: what is ordered on Thursday comes on Monday, by the written rule.
    let path = "/v1/suppliers/dairy/deliveries?from=2026-12-24&until=2026-12-24";
    let moved = client.get(path)?.success()?["deliveries"].clone();
    ensure!(moved[0]["arrives"].as_str().is_some_and(|at| at.starts_with("2026-12-27")), "{moved}");
    ensure!(moved[0]["moved_from"] == "2026-12-25", "{moved}");
    Ok(())
}

#[test]
fn a_delivery_that_a_holiday_moves_is_told_before_its_cutoff() -> Result<()> {
    // Source: trade rules, nasty case 22; alder-yard.md 8.6 (15 June: Tuesday instead).
    let server = demo_server()?;
    let client = server.client();
    let path = "/v1/suppliers/dairy/deliveries?from=2026-06-12&until=2026-06-12";
    let found = client.get(path)?.success()?["deliveries"].clone();
    ensure!(found[0]["arrives"] == "2026-06-16T06:00:00+02:00", "{found}");
    ensure!(found[0]["cutoff"] == "2026-06-12T11:00:00+02:00", "{found}");
    ensure!(found[0]["moved_from"] == "2026-06-15", "{found}");
    Ok(())
}
