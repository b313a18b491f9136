//! The feed of what happened: read, followed, and posted to others.

mod feed;
mod hooks;
mod stream;

use anyhow::{Context, Result};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo::loaded};

fn order(reference: &str, product: &str, quantity: i64) -> Value {
    json!({
        "order_ref": reference, "version": 1, "customer": "harbour-cafe",
        "service_date": "2026-06-13", "drop": "07:00",
        "lines": [{"line_ref": "1", "product": product, "quantity": quantity}]
    })
}

/// The feed after a place, to its end.
fn feed(client: &Client, mut after: String) -> Result<(Vec<Value>, String)> {
    let mut all = Vec::new();
    loop {
        let page = client.get(&format!("/v1/changes?limit=7&after={after}"))?.success()?;
        all.extend(page["rows"].as_array().context("rows")?.clone());
        after = page["after"].as_str().context("a place")?.to_owned();
        if page["more"] != true {
            return Ok((all, after));
        }
    }
}

/// The place at the end of the feed.
fn end(client: &Client) -> Result<String> {
    Ok(feed(client, "now".to_owned())?.1)
}

fn kinds(rows: &[Value]) -> Vec<&str> {
    rows.iter().filter_map(|row| row["kind"].as_str()).collect()
}
