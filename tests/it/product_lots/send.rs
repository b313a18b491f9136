//! Goods that leave the house: to which orders, and never silently more than there are.

use super::{divided, entries, lot, lots, posted, step};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, stockroom::check};

/// Orders of Friday with a line of a product: name and pieces, as they were taken.
fn orders(client: &Client, product: &str) -> Result<Vec<(String, i64)>> {
    let mut found = Vec::new();
    let list = client.get("/v1/orders?service_date=2026-06-12&limit=1000")?.success()?;
    for row in list["rows"].as_array().context("rows")? {
        let name = row["order_ref"].as_str().context("a name")?;
        let order = client.get(&format!("/v1/orders/{name}"))?.success()?;
        for line in order["lines"].as_array().context("lines")? {
            if line["product"] == product {
                let pieces = line["quantity_taken"].as_i64().unwrap_or(0);
                found.push((name.to_owned(), pieces));
            }
        }
    }
    Ok(found)
}

#[test]
fn a_sent_load_goes_to_the_orders_that_wait_and_the_rest_stays() -> Result<()> {
    let (server, load) = divided()?;
    let client = server.client();
    step(client, &load, "baked", &json!({"who": "Emil"}))?;
    let sent = step(client, &load, "sent", &json!({"who": "Gus"}))?;
    let lines = posted(&sent)?["sent"].as_array().cloned().context("lines")?;
    let to: i64 = lines
        .iter()
        .filter(|line| line["product"] == "sugar-bun")
        .filter_map(|line| line["pieces"].as_i64())
        .sum();
    ensure!(to == 37, "all 37 of 72 ordered: {lines:?}");
    let asked = orders(client, "sugar-bun")?;
    ensure!(asked.iter().map(|(_, pieces)| pieces).sum::<i64>() == 72, "{asked:?}");
    for (name, pieces) in &asked {
        let got: i64 = lines
            .iter()
            .filter(|line| line["product"] == "sugar-bun" && line["order_ref"] == **name)
            .filter_map(|line| line["pieces"].as_i64())
            .sum();
        ensure!(got <= *pieces, "{name} asked for {pieces} and got {got}");
    }
    // Each entry says for which order.
    let first = lines.first().context("a line")?;
    let order = first["order_ref"].as_str().context("a name")?;
    let own = entries(client, &format!("order:{order}"))?;
    ensure!(own.iter().any(|row| row["id"] == first["movement"] && row["kind"] == "send"));
    ensure!(lot(client, "sugar-bun")?["left"]["amount"] == "0", "none is left");
    check(client)?;
    Ok(())
}

#[test]
fn goods_are_sent_drop_by_drop_and_never_twice() -> Result<()> {
    let (server, load) = divided()?;
    let client = server.client();
    step(client, &load, "baked", &json!({"who": "Emil"}))?;
    let body = json!({"who": "Gus", "service_date": "2026-06-12"});
    let first = client.post("/v1/sends", &body)?.success()?;
    let count = |sent: &Value| sent["lines"].as_array().map_or(0, Vec::len);
    ensure!(count(&first) > 0, "{first}");
    let notes = first["notes"].to_string();
    ensure!(notes.contains("still wait"), "what was not made still waits: {notes}");
    let second = client.post("/v1/sends", &body)?.success()?;
    ensure!(count(&second) == 0, "nothing is left to send: {second}");
    for row in lots(client, "2026-06-12")? {
        let left = row["left"]["amount"].as_str().unwrap_or_default();
        ensure!(!left.starts_with('-'), "never more than there is: {row}");
    }
    check(client)?;
    Ok(())
}

#[test]
fn more_than_the_book_has_is_sent_as_it_is_written_and_flagged() -> Result<()> {
    let (server, load) = divided()?;
    let client = server.client();
    step(client, &load, "baked", &json!({"who": "Emil"}))?;
    let (name, _) = orders(client, "sugar-bun")?.into_iter().next().context("an order")?;
    let body = json!({"who": "Gus", "service_date": "2026-06-12",
        "orders": [{"order_ref": name, "product": "sugar-bun", "pieces": 40}]});
    let sent = client.post("/v1/sends", &body)?.success()?;
    ensure!(sent["notes"].to_string().contains("3 more of sugar-bun"), "{sent}");
    ensure!(lot(client, "sugar-bun")?["left"]["amount"] == "-3", "to be counted");
    let stock = client.get("/v1/stock")?.success()?;
    let rows = stock["rows"].as_array().context("rows")?;
    let row = rows.iter().find(|row| row["item"] == "sugar-bun").context("sugar-bun")?;
    ensure!(row["count_me"] == true, "{row}");
    let unknown = json!({"who": "Gus", "service_date": "2026-06-12",
        "orders": [{"order_ref": "nobody", "product": "sugar-bun", "pieces": 1}]});
    let refused = client.post("/v1/sends", &unknown)?;
    ensure!(refused.status == 422 && refused.is_problem("unknown-code")?, "{}", refused.text());
    check(client)?;
    Ok(())
}
