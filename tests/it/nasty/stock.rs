//! Nasty cases of receiving.

use anyhow::{Context, Result, ensure};
use serde_json::json;
use weighhouse_tests::{demo, stockroom::receive};

#[test]
fn case_29_a_pack_with_a_new_may_contain_goes_on_hold_and_names_whom_it_touches() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let read = json!({"contains": ["sulphites"], "may_contain": ["sesame"]});
    let pack = json!({"item": "golden-raisins", "lot": "GR-9",
        "quantity": {"amount": "12.5", "unit": "kg"}, "allergens": read});
    let lot = receive(client, &pack)?;
    ensure!(lot["state"] == "hold", "{lot}");
    let why = lot["hold_reason"].as_str().context("a reason")?;
    ensure!(why.contains("may contain sesame"), "{why}");
    // On hold it is no stock for any order, with or without sesame.
    let stock = client.get("/v1/stock")?.success()?;
    let rows = stock["rows"].as_array().context("rows")?;
    let row = rows.iter().find(|row| row["item"] == "golden-raisins").context("a row")?;
    ensure!(row["on_hand"]["amount"] == "0" && row["on_hold"]["amount"] == "12500", "{row}");
    // What really is in products and orders is named.
    let pack = json!({"item": "raisins", "lot": "R-9",
        "quantity": {"amount": "12.5", "unit": "kg"}, "allergens": {"may_contain": ["sesame"]}});
    let lot = receive(client, &pack)?;
    let why = lot["hold_reason"].as_str().context("a reason")?;
    ensure!(why.contains("fruit-bun") && why.contains("raisin-spiral"), "{why}");
    ensure!(why.contains("hill-school") && !why.contains("sugar-bun"), "{why}");
    // The same text as the record is no reason to wait.
    let pack = json!({"item": "raisins", "lot": "R-10",
        "quantity": {"amount": "12.5", "unit": "kg"}, "allergens": {}});
    ensure!(receive(client, &pack)?["state"] == "released");
    Ok(())
}
