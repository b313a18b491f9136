//! Traces both ways, recall files, holds and what they reach.

mod events;
mod holds;
mod levain;
mod past;
mod pieces;

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::client::Client;

/// A quantity in grams.
fn grams(amount: impl ToString) -> Value {
    json!({"amount": amount.to_string(), "unit": "g"})
}

/// A load of the past.
fn past(load: &str, formula: &str, made_at: &str, took: Value, gave: Value) -> Value {
    json!({"load": load, "formula": formula, "made_at": made_at, "took": took, "gave": gave})
}

/// Writes loads of the past down.
fn write_down(client: &Client, loads: &Value) -> Result<Value> {
    let body = json!({"who": "Imre", "loads": loads});
    client.post("/v1/past-loads", &body)?.success().context("past loads are refused")
}

/// The id of a lot by its name.
fn lot(client: &Client, item: &str, name: &str) -> Result<String> {
    let lots = client.get(&format!("/v1/lots?item={item}&limit=1000"))?.success()?;
    let rows = lots["rows"].as_array().context("rows")?;
    let found = rows.iter().find(|row| row["lot"] == name);
    let id = found.and_then(|row| row["id"].as_str());
    Ok(id.with_context(|| format!("no lot {name} of {item}: {lots}"))?.to_owned())
}

fn trace(client: &Client, lot: &str, direction: &str) -> Result<Value> {
    client.get(&format!("/v1/lots/{lot}/trace?direction={direction}"))?.success()
}

/// One row of a list, by two of its fields.
fn row<'a>(list: &'a Value, key: &str, value: &str) -> Result<&'a Value> {
    let rows = list.as_array().with_context(|| format!("no list: {list}"))?;
    let found = rows.iter().find(|row| row[key] == value);
    found.with_context(|| format!("no row whose {key} is {value}: {list}"))
}

/// Fails unless something is so many steps on, with this exact share.
fn reaches(row: &Value, generation: i64, exact: &str) -> Result<()> {
    ensure!(row["generation"] == generation, "generation {generation}: {row}");
    ensure!(row["share"]["exact"] == exact, "share {exact}: {row}");
    Ok(())
}
