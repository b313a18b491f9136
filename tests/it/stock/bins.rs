//! Bins hold a set of lots until they are emptied.

use anyhow::{Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{
    client::Client,
    stockroom::{check, id, open, receive, refused},
};

fn fill(client: &Client, lot: &str, kilograms: &str) -> Result<String> {
    let quantity = json!({"amount": kilograms, "unit": "kg"});
    id(&receive(client, &json!({"lot": lot, "place": "flour-bin", "quantity": quantity}))?)
}

fn names(bin: &Value) -> Vec<String> {
    let lots = bin["lots"].as_array().cloned().unwrap_or_default();
    lots.iter().filter_map(|lot| lot["lot"]["lot"].as_str().map(str::to_owned)).collect()
}

#[test]
fn a_draw_names_every_lot_that_was_filled_in_since_it_was_empty() -> Result<()> {
    // Source: trade.md 4, places: topped up before empty, a bin carries a set of lots.
    let server = open()?;
    let client = server.client();
    fill(client, "A", "10")?;
    fill(client, "B", "30")?;
    let draw = json!({"quantity": {"amount": "4", "unit": "kg"}, "who": "Imre", "load": "l-1"});
    let drawn = client.post("/v1/bins/flour-bin/draws", &draw)?.success()?;
    ensure!(names(&drawn["bin"]) == ["A", "B"], "{drawn}");
    // By hand: a quarter and three quarters of 4 kg.
    ensure!(drawn["bin"]["lots"][0]["there"]["amount"] == "9000", "{drawn}");
    ensure!(drawn["bin"]["lots"][1]["there"]["amount"] == "27000", "{drawn}");
    let all = json!({"quantity": {"amount": "36", "unit": "kg"}});
    let drawn = client.post("/v1/bins/flour-bin/draws", &all)?.success()?;
    ensure!(names(&drawn["bin"]) == ["A", "B"], "empty by the book is not emptied: {drawn}");
    let more = client.post("/v1/bins/flour-bin/draws", &draw)?.success()?;
    ensure!(more["movements"].as_array().map(Vec::len) == Some(2), "no lot is dropped: {more}");
    let emptied = client.post("/v1/bins/flour-bin/emptied", &json!({"who": "Imre"}))?.success()?;
    ensure!(names(&emptied).is_empty(), "{emptied}");
    refused(client, "/v1/bins/flour-bin/draws", &draw, "out-of-range")?;
    fill(client, "C", "5")?;
    let bin = client.get("/v1/bins/flour-bin")?.success()?;
    ensure!(names(&bin) == ["C"], "{bin}");
    ensure!(client.get("/v1/bins/chiller")?.status == 404, "the chiller is no bin");
    check(client)?;
    Ok(())
}
