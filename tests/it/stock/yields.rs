//! Yields are learnt, suggested, and never taken by themselves.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, stockroom::open};

fn scrap(client: &Client) -> Result<Value> {
    let yields = client.get("/v1/yields")?.success()?;
    let rows = yields["rows"].as_array().context("rows")?;
    let row = rows.iter().find(|row| row["code"] == "bun" && row["stage"] == "scrap");
    row.cloned().context("the buns' scrap is in the list")
}

#[test]
fn five_loads_suggest_a_figure_beside_the_one_that_is_set() -> Result<()> {
    let server = open()?;
    let client = server.client();
    let before = scrap(client)?;
    ensure!(before["observations"] == 0 && before["suggested"].is_null(), "{before}");
    let set = before["set"].clone();
    for load in 1..=5 {
        let seen = json!({"code": "bun", "stage": "scrap", "load": format!("bun/{load}"),
            "went_in": {"amount": "20", "unit": "kg"}, "came_out": {"amount": "19.4", "unit": "kg"}});
        client.post("/v1/yields/observations", &seen)?.success()?;
    }
    let after = scrap(client)?;
    // By hand: 600 g of 20 kg are 3 %.
    ensure!(after["mean"] == "3" && after["suggested"] == "3" && after["spread"] == "0");
    ensure!(after["set"] == set && after["differs"] == true, "nothing changes by itself: {after}");
    let odd = json!({"code": "bun", "stage": "scrap", "load": "bun/6",
        "went_in": {"amount": "20", "unit": "kg"}, "came_out": {"amount": "20.1", "unit": "kg"}});
    client.post("/v1/yields/observations", &odd)?.success()?;
    ensure!(scrap(client)?["odd"] == 1 && scrap(client)?["observations"] == 5);
    let bad = json!({"code": "no-such", "stage": "scrap", "load": "x",
        "went_in": {"amount": "0", "unit": "kg"}, "came_out": {"amount": "1", "unit": "kg"}});
    let reply = client.post("/v1/yields/observations", &bad)?;
    ensure!(reply.status == 422 && reply.json()?["errors"].as_array().map(Vec::len) == Some(2));
    Ok(())
}
