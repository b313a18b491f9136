//! A whole sheet typed in at 09:00: many loads' steps in one call.

use super::{lots, stock};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{demo, exact::whole, server::Server, stockroom::check};

/// The weigh-out and the bake of both bun loads, as the paper says.
fn rows() -> Vec<Value> {
    let row =
        |load: &str, step: &str, body: Value| json!({"load": load, "step": step, "body": body});
    let mut rows = Vec::new();
    for load in ["2026-06-12:bun:1", "2026-06-12:bun:2"] {
        rows.push(row(load, "release", json!({"who": "Anna"})));
        rows.push(row(load, "weighings", json!({"who": "Ben"})));
        rows.push(row(load, "mixed", json!({"who": "Cem", "dough_temperature": "26"})));
        rows.push(row(load, "divided", json!({"who": "Dora"})));
        rows.push(row(load, "baked", json!({"who": "Emil"})));
    }
    rows.push(row(
        "2026-06-12:bun:1",
        "count-back",
        json!({"who": "Emil", "products": [
        {"product": "sugar-bun", "good": 36, "rejected": [{"pieces": 1, "reason": "burnt"}]}]}),
    ));
    rows
}

fn served() -> Result<Server> {
    demo::serve(&demo::document("bakery")?)
}

fn statuses(answer: &Value) -> Result<Vec<u64>> {
    let outcomes = answer["outcomes"].as_array().context("outcomes")?;
    Ok(outcomes.iter().filter_map(|one| one["status"].as_u64()).collect())
}

#[test]
fn a_whole_sheet_is_typed_in_at_once_and_a_retry_changes_nothing() -> Result<()> {
    let server = served()?;
    let client = server.client();
    let flour = stock(client, "strong-white")?;
    let body = json!({"rows": rows()});
    let done = client.post_under("/v1/loads/sheet", &body, "sheet-1")?;
    let answer = done.success()?;
    ensure!(statuses(&answer)? == vec![200; 11], "{answer}");
    // 5160 g a load, twice (8.9 A); 73 sugar buns begun, one of them burnt.
    ensure!(flour - stock(client, "strong-white")? == whole(10_320), "flour left once");
    ensure!(stock(client, "sugar-bun")? == whole(72), "{answer}");
    ensure!(lots(client, "2026-06-12")?.len() == 8, "four products of two loads");
    let entries = check(client)?["entries"].clone();
    let again = client.post_under("/v1/loads/sheet", &body, "sheet-1")?;
    ensure!(again.replayed && again.body == done.body, "byte for byte");
    // The same paper typed in by somebody else, under a key of his own.
    let twice = client.post("/v1/loads/sheet", &body)?.success()?;
    ensure!(statuses(&twice)? == vec![200; 11], "{twice}");
    ensure!(check(client)?["entries"] == entries, "nothing moved twice");
    Ok(())
}

#[test]
fn a_row_that_cannot_be_costs_no_other_row_unless_that_is_asked_for() -> Result<()> {
    let server = served()?;
    let client = server.client();
    let mut rows = rows();
    rows[1]["body"]["lines"] = json!([{"line": 99}, {"line": 1, "lots": [{"lot": "SW-NONE"}]}]);
    rows[6]["body"] = json!({"when": "now"});
    let before = check(client)?["entries"].clone();
    let refused = client.post("/v1/loads/sheet", &json!({"rows": rows, "all_or_nothing": true}))?;
    ensure!(refused.status == 422, "{}", refused.text());
    let errors = refused.json()?["errors"].as_array().cloned().context("errors")?;
    let pointers: Vec<&str> = errors.iter().filter_map(|error| error["pointer"].as_str()).collect();
    for pointer in ["/rows/1/body/lines/0/line", "/rows/1/body/lines/1/lots/0/lot", "/rows/6/body"]
    {
        ensure!(pointers.iter().any(|found| found.contains(pointer)), "{pointer}: {errors:?}");
    }
    ensure!(check(client)?["entries"] == before, "all or nothing: nothing");
    let each = client.post("/v1/loads/sheet", &json!({"rows": rows}))?.success()?;
    let found = statuses(&each)?;
    ensure!(found[0] == 200 && found[1] == 422 && found[5] == 200 && found[6] == 422, "{each}");
    // What follows on a row that was refused says that it is not its turn.
    ensure!(found[2..5] == [409, 409, 409], "{each}");
    check(client)?;
    Ok(())
}
