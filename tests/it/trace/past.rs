//! Loads of the past: whole or not at all, and no stock moves.

use super::{grams, lot, past, trace, write_down};
use anyhow::{Context, Result, ensure};
use serde_json::json;
use weighhouse_tests::stockroom::{check, open, receive};

#[test]
fn past_loads_are_taken_whole_or_not_at_all_and_move_no_stock() -> Result<()> {
    let server = open()?;
    let client = server.client();
    receive(client, &json!({"lot": "RY-1"}))?;
    let at = "2026-06-01T02:00:00+02:00";
    let took = json!([{"item": "rye", "lot": "RY-1", "quantity": grams(500)}]);
    let gave = json!([{"quantity": grams(500)}]);
    let good = past("L-1", "levain", at, took.clone(), gave.clone());
    let wrong = json!([
        good,
        past(
            "L-2",
            "levain",
            at,
            json!([
                {"item": "rye", "load": "L-9", "quantity": grams(1)},
                {"item": "moon-dust", "quantity": grams(1)},
                {"item": "rye", "quantity": grams(0)},
            ]),
            gave.clone()
        ),
        past("L-1", "levain", "2026-07-01T02:00:00+02:00", json!([]), json!([])),
    ]);
    let refused = client.post("/v1/past-loads", &json!({"loads": wrong}))?;
    ensure!(refused.status == 422, "{}", refused.text());
    let errors = refused.json()?["errors"].as_array().cloned().context("errors")?;
    let places: Vec<_> = errors.iter().filter_map(|one| one["pointer"].as_str()).collect();
    let expected = [
        "/loads/2/load",
        "/loads/2/made_at",
        "/loads/1/took/0/load",
        "/loads/1/took/1/item",
        "/loads/1/took/2/quantity",
    ];
    ensure!(places == expected, "all faults at once: {errors:?}");
    let rye = lot(client, "rye", "RY-1")?;
    ensure!(trace(client, &rye, "forwards")?["steps"] == json!([]), "nothing was written");
    let kept = write_down(client, &json!([good]))?;
    ensure!(kept["loads"][0]["gave"][0]["lot"] == "L-1", "{kept}");
    let held = client.get(&format!("/v1/lots/{rye}"))?.success()?;
    ensure!(held["quantity"]["amount"] == "25000", "no stock moves: {held}");
    let made = lot(client, "levain", "L-1")?;
    let held = client.get(&format!("/v1/lots/{made}"))?.success()?;
    ensure!(held["quantity"]["amount"] == "0" && held["state"] == "used-up", "{held}");
    let twice = client.post("/v1/past-loads", &json!({"loads": [good]}))?;
    ensure!(twice.is_problem("duplicate-code")?, "{}", twice.text());
    ensure!(client.post("/v1/past-loads", &json!({"loads": []}))?.is_problem("too-many")?);
    check(client)?;
    Ok(())
}

#[test]
fn a_lot_that_nobody_has_is_said_to_be_unknown() -> Result<()> {
    let server = open()?;
    let client = server.client();
    for path in ["trace", "recall", "recall.csv"] {
        let reply = client.get(&format!("/v1/lots/nobody/{path}"))?;
        ensure!(reply.status == 404 && reply.is_problem("not-found")?, "{path}: {}", reply.text());
    }
    let rye = super::super::trace::lot(client, "rye", "RY-9");
    ensure!(rye.is_err());
    let id = weighhouse_tests::stockroom::id(&receive(client, &json!({}))?)?;
    let reply = client.get(&format!("/v1/lots/{id}/trace?direction=sideways"))?;
    ensure!(reply.is_problem("invalid-query")?, "{}", reply.text());
    Ok(())
}
