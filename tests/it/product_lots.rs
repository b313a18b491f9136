//! Pieces as lots: from the load to the order, through the API.
//!
//! # Source
//! The trade rules, part 4 (ledger, WIP dough is stock) and 2.9 (wash and toppings on start
//! pieces); the figures of the invented bakery are those of its own document.

mod day_old;
mod label;
mod life;
mod send;
mod sheet;

use anyhow::{Context, Result};
use num_rational::BigRational;
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo, exact::parse, server::Server};

/// When Friday's buns are baked: the demo's moment is two days earlier.
const MORNING: &str = "2026-06-12T05:30:00+02:00";

/// The demo bakery with Friday's first bun load divided, on Friday morning.
fn divided() -> Result<(Server, Value)> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let load = release(server.client(), "2026-06-12:bun:1")?;
    for (word, who) in [("weighings", "Ben"), ("mixed", "Cem"), ("divided", "Dora")] {
        step(server.client(), &load, word, &json!({"who": who}))?;
    }
    Ok((server.at(MORNING)?, load))
}

fn release(client: &Client, draft: &str) -> Result<Value> {
    let path = format!("/v1/loads/{draft}/release");
    client.post(&path, &json!({"who": "Anna"}))?.success().with_context(|| path)
}

fn step(client: &Client, load: &Value, step: &str, body: &Value) -> Result<Value> {
    let path = format!("/v1/loads/{}/{step}", load["id"].as_str().context("an id")?);
    client.post(&path, body)?.success().with_context(|| path)
}

/// What the last step of a load kept of what it did.
fn posted(load: &Value) -> Result<Value> {
    let last = load["history"].as_array().and_then(|all| all.last()).context("a step")?;
    Ok(last["body"]["posted"].clone())
}

/// The product lots of a service date.
fn lots(client: &Client, date: &str) -> Result<Vec<Value>> {
    let list = client.get(&format!("/v1/product-lots?service_date={date}"))?.success()?;
    list["rows"].as_array().cloned().context("rows")
}

/// The lot of a product for Friday.
fn lot(client: &Client, product: &str) -> Result<Value> {
    let rows = lots(client, "2026-06-12")?;
    let found = rows.iter().find(|row| row["product"] == product);
    found.cloned().with_context(|| format!("no lot of {product}: {rows:?}"))
}

/// What all lots of an item hold together, in its base unit.
fn stock(client: &Client, item: &str) -> Result<BigRational> {
    let lots = client.get(&format!("/v1/lots?item={item}"))?.success()?;
    let mut sum = parse("0")?;
    for row in lots["rows"].as_array().context("rows")? {
        sum += parse(row["quantity"]["amount"].as_str().context("an amount")?)?;
    }
    Ok(sum)
}

/// The entries of a document.
fn entries(client: &Client, document: &str) -> Result<Vec<Value>> {
    let all = client.get("/v1/movements?limit=1000")?.success()?;
    let rows = all["rows"].as_array().context("rows")?;
    Ok(rows.iter().filter(|row| row["document"] == document).cloned().collect())
}
