//! The order book: versions, cancellations, duplicates of standing orders, safe retries;
//! the same on both databases and under two servers.

mod answers;
mod pars;
pub(crate) mod servers;
mod standing;

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo::loaded};

/// An order of the harbour café for Saturday 13 June 2026 at 07:00.
fn order(version: i64, lines: &[(&str, Value)]) -> Value {
    let lines: Vec<Value> = (1..)
        .zip(lines)
        .map(|(number, (product, quantity)): (i64, _)| {
            json!({"line_ref": number.to_string(), "product": product, "quantity": quantity})
        })
        .collect();
    json!({
        "order_ref": "till-2-000481", "version": version, "customer": "harbour-cafe",
        "service_date": "2026-06-13", "drop": "07:00", "lines": lines,
    })
}

/// Pieces ordered of a product for Saturday 13 June.
fn ordered(client: &Client, product: &str) -> Result<i64> {
    ordered_on(client, "2026-06-13", product)
}

fn ordered_on(client: &Client, date: &str, product: &str) -> Result<i64> {
    let answer = client.requirements(date)?;
    let pieces = answer["pieces"].as_array().context("pieces")?;
    let line = pieces.iter().find(|line| line["product"] == product);
    Ok(line.and_then(|line| line["ordered"].as_i64()).unwrap_or(0))
}

fn equal(found: &Value, expected: &Value) -> Result<()> {
    ensure!(found == expected, "expected {expected}, found {found}");
    Ok(())
}
