//! The life of a load, through the API: released, overridden, changed after the print.
//!
//! # Source
//! The trade rules, 1.6, 2.10, 2.12, and cases 3, 4, 14, 26 and 27 of part 7.

mod amendments;
mod laminated;
mod life;
mod overrides;
mod slip;

use anyhow::{Context, Result, ensure};
use num_rational::BigRational;
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo, exact::parse, server::Server};

/// The day on which Friday's buns are weighed: the demo's today.
const WORK_DATE: &str = "2026-06-10";
/// The day on which they are sold.
const SERVICE_DATE: &str = "2026-06-12";

fn demo_server() -> Result<Server> {
    demo::serve(&demo::document("bakery")?)
}

/// Releases a draft; gives the load.
pub(crate) fn release(client: &Client, draft: &str) -> Result<Value> {
    let path = format!("/v1/loads/{draft}/release");
    client.post(&path, &json!({"who": "Anna"}))?.success().with_context(|| path)
}

/// Takes a load one step further.
pub(crate) fn step(client: &Client, load: &Value, step: &str, body: &Value) -> Result<Value> {
    let path = format!("/v1/loads/{}/{step}", load["id"].as_str().context("an id")?);
    client.post(&path, body)?.success().with_context(|| path)
}

/// An order of a customer who has none, for one product on Friday.
fn order(version: i64, product: &str, quantity: i64) -> Value {
    json!({
        "order_ref": "late-1",
        "version": version,
        "customer": "harbour-cafe",
        "service_date": SERVICE_DATE,
        "drop": "07:00",
        "lines": [{"line_ref": "1", "product": product, "quantity": quantity}]
    })
}

/// The batch of a formula for Friday.
fn batch(client: &Client, formula: &str) -> Result<Value> {
    let requirements = client.requirements(SERVICE_DATE)?;
    let batches = requirements["batches"].as_array().context("batches")?;
    let found = batches.iter().find(|batch| batch["formula"] == formula);
    found.cloned().with_context(|| format!("no batch of {formula}"))
}

/// The notes of Friday's requirements, one text.
fn notes(client: &Client) -> Result<String> {
    let requirements = client.requirements(SERVICE_DATE)?;
    let notes = requirements["notes"].as_array().context("notes")?;
    Ok(notes.iter().filter_map(Value::as_str).collect::<Vec<_>>().join("\n"))
}

/// The page of a load on the weigh-out of a work date.
fn page(client: &Client, work_date: &str, formula: &str, load: i64) -> Result<Value> {
    let sheet = client.weigh_out(work_date)?;
    for block in sheet["blocks"].as_array().context("blocks")? {
        for page in block["pages"].as_array().context("pages")? {
            if block["formula"] == formula && page["load"] == load {
                return Ok(page.clone());
            }
        }
    }
    anyhow::bail!("no page of {formula} {load}: {sheet}")
}

/// The same page without what may change on it: who set its state, and when.
fn fixed(page: &Value) -> Value {
    let mut fixed = page.clone();
    if let Some(fields) = fixed.as_object_mut() {
        for name in ["state", "state_by", "id", "done"] {
            fields.remove(name);
        }
    }
    fixed
}

fn amount(quantity: &Value) -> Result<BigRational> {
    parse(quantity["amount"].as_str().with_context(|| format!("no amount: {quantity}"))?)
}

/// What is left of a lot by its name, in its base unit.
fn left(client: &Client, item: &str, lot: &str) -> Result<BigRational> {
    let lots = client.get(&format!("/v1/lots?item={item}"))?.success()?;
    let rows = lots["rows"].as_array().context("rows")?;
    let found = rows.iter().find(|row| row["lot"] == lot);
    amount(&found.with_context(|| format!("no lot {lot} of {item}"))?["quantity"])
}

#[test]
fn a_revision_says_what_made_it() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    release(client, "2026-06-12:bun:1")?;
    client.post_order(&order(1, "sugar-bun", 6))?.success()?;
    let page = client.get("/v1/revisions?limit=2")?.success()?;
    let rows = page["rows"].as_array().context("rows")?;
    ensure!(rows[0]["cause"] == "order late-1 version 1", "{page}");
    ensure!(rows[1]["cause"] == "load 1 of bun for 2026-06-12 released by Anna", "{page}");
    // The pages together hold every revision once, without a gap.
    let mut numbers = Vec::new();
    let mut cursor = String::new();
    loop {
        let page = client.get(&format!("/v1/revisions?limit=20{cursor}"))?.success()?;
        for row in page["rows"].as_array().context("rows")? {
            numbers.push(row["plan_revision"].as_i64().context("a number")?);
        }
        match page["next"].as_str() {
            Some(next) => cursor = format!("&cursor={next}"),
            None => break,
        }
    }
    let newest = *numbers.first().context("a revision")?;
    ensure!(numbers.iter().copied().eq((1..=newest).rev()), "{numbers:?}");
    Ok(())
}
