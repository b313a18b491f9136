//! The demo bakery: its documents, and a server that holds them.

use crate::{server::Server, source};
use anyhow::{Context, Result};
use serde_json::Value;
use std::fs;

/// The moment at which the demo stands: Wednesday 10 June 2026, 09:30.
pub const NOW: &str = "2026-06-10T09:30:00+02:00";
/// Its two service dates.
pub const SERVICE_DATES: [&str; 2] = ["2026-06-12", "2026-06-13"];

/// A document of the demo data, by its name without ending.
///
/// # Errors
/// It is not there, or not JSON.
pub fn document(name: &str) -> Result<Value> {
    let path = source::root().join("demo-data").join(format!("{name}.json"));
    let text = fs::read_to_string(&path).with_context(|| path.display().to_string())?;
    serde_json::from_str(&text).with_context(|| format!("demo-data/{name}.json"))
}

/// The elements of a document's only list.
///
/// # Errors
/// The document has no such list.
pub fn list(document: &Value, key: &str) -> Result<Vec<Value>> {
    let list = document[key].as_array().cloned();
    list.with_context(|| format!("the document has no list `{key}`"))
}

/// A server that holds the demo's bakery without any stock or order.
///
/// # Errors
/// It does not start, or the bakery is refused.
pub fn loaded() -> Result<Server> {
    let server = Server::start(NOW)?;
    server.client().put_bakery(&document("bakery")?)?.success()?;
    Ok(server)
}

/// A server that holds a bakery document with the demo's stock and orders.
///
/// # Errors
/// Something of it is refused.
pub fn serve(bakery: &Value) -> Result<Server> {
    let server = Server::start(NOW)?;
    fill(&server, bakery)?;
    Ok(server)
}

/// Puts a bakery document with the demo's stock and orders into an empty server.
///
/// # Errors
/// Something of it is refused.
pub fn fill(server: &Server, bakery: &Value) -> Result<()> {
    let client = server.client();
    client.put_bakery(bakery)?.success().context("demo-data/bakery.json is refused")?;
    for receipt in list(&document("stock")?, "receipts")? {
        let answer = client.post_receipt(&receipt)?.success();
        answer.with_context(|| format!("the receipt of {} is refused", receipt["lot"]))?;
    }
    for order in list(&document("orders")?, "orders")? {
        let answer = client.post_order(&order)?.success();
        answer.with_context(|| format!("the order {} is refused", order["order_ref"]))?;
    }
    Ok(())
}
