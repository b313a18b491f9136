//! A server with the demo bakery and an empty stockroom, for tests of lots and their ledger.

use crate::{client::Client, demo, exact, postgres::Postgres, server::Server};
use anyhow::{Context, Result, ensure};
use num_rational::BigRational;
use serde_json::{Value, json};

/// The demo bakery's document with a bin, and with butter that may be frozen.
///
/// # Errors
/// The demo data is not there.
pub fn bakery() -> Result<Value> {
    let mut bakery = demo::document("bakery")?;
    let bin = json!({"code": "flour-bin", "name": "Flour bin", "kind": "bin"});
    bakery["places"].as_array_mut().context("places")?.push(bin);
    let items = bakery["items"].as_array_mut().context("items")?;
    let butter = items.iter_mut().find(|item| item["code"] == "butter").context("butter")?;
    butter["thawed_life"] = json!("P2D");
    // Nobody knows what honey costs: no pack of it has a price.
    let packs = bakery["packs"].as_array_mut().context("packs")?;
    packs.retain(|pack| pack["item"] != "honey");
    Ok(bakery)
}

/// A server of that bakery, without stock and orders, at the demo's moment.
///
/// # Errors
/// Something of it is refused.
pub fn open() -> Result<Server> {
    furnish(Server::start(demo::NOW)?)
}

/// The same on a PostgreSQL database.
///
/// # Errors
/// Something of it is refused.
pub fn open_on(database: &Postgres) -> Result<Server> {
    furnish(Server::start_on(database, demo::NOW)?)
}

fn furnish(server: Server) -> Result<Server> {
    server.client().put_bakery(&bakery()?)?.success().context("the bakery is refused")?;
    Ok(server)
}

/// Takes a receipt; returns the lot.
///
/// # Errors
/// It is refused.
pub fn receive(client: &Client, more: &Value) -> Result<Value> {
    let mut receipt = json!({
        "item": "rye", "lot": "RY-9", "received": "2026-06-01", "place": "dry-store",
        "quantity": {"amount": "25", "unit": "kg"},
    });
    let (all, more) = (receipt.as_object_mut().context("an object")?, more.as_object());
    all.extend(more.context("an object")?.clone());
    client.post_receipt(&receipt)?.success()
}

/// The id of a lot.
///
/// # Errors
/// It has none.
pub fn id(lot: &Value) -> Result<String> {
    Ok(lot["id"].as_str().with_context(|| format!("{lot} has no id"))?.to_owned())
}

/// Posts and expects a problem of a kind; returns what it says.
///
/// # Errors
/// It is another answer.
pub fn refused(client: &Client, path: &str, body: &Value, slug: &str) -> Result<String> {
    let reply = client.post(path, body)?;
    ensure!(reply.is_problem(slug)?, "{path}: expected {slug}, found {}", reply.text());
    Ok(reply.json()?["detail"].as_str().unwrap_or_default().to_owned())
}

/// The amount of a quantity.
///
/// # Errors
/// It has none.
pub fn amount(quantity: &Value) -> Result<BigRational> {
    exact::parse(quantity["amount"].as_str().with_context(|| format!("{quantity}"))?)
}

/// Fails unless the ledger proves itself.
///
/// # Errors
/// It names what is wrong.
pub fn check(client: &Client) -> Result<Value> {
    let checked = client.get("/v1/ledger/check")?.success()?;
    ensure!(checked["whole"] == true, "the ledger is not whole: {}", checked["findings"]);
    Ok(checked)
}
