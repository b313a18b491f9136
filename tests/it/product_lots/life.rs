//! Baked, counted, counted again, lost: what each does to the ledger.

use super::{divided, entries, lot, lots, posted, step, stock};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{
    exact::{parse, whole},
    stockroom::check,
};

#[test]
fn baking_makes_a_lot_of_each_product_and_takes_what_is_on_the_pieces() -> Result<()> {
    let (server, load) = divided()?;
    let client = server.client();
    let sugar = stock(client, "pearl-sugar")?;
    let raisins = stock(client, "raisins")?;
    let baked = step(client, &load, "baked", &json!({"who": "Emil"}))?;
    // 37/42/25/30 pieces of sugar-bun, fruit-bun, custard-bun and lemon-knot (8.9 A).
    let rows = lots(client, "2026-06-12")?;
    let made: Vec<_> = rows
        .iter()
        .map(|row| (row["product"].clone(), row["started"].clone(), row["left"]["amount"].clone()))
        .collect();
    let expected = [("sugar-bun", 37), ("fruit-bun", 42), ("custard-bun", 25), ("lemon-knot", 30)];
    for (product, pieces) in expected {
        ensure!(
            made.contains(&(json!(product), json!(pieces), json!(pieces.to_string()))),
            "{product}: {made:?}"
        );
    }
    ensure!(rows.iter().all(|row| row["lot"] == "260612-1" && row["load"] == load["id"]));
    // Pearl sugar 6 g on 37 buns (8.4), raisins 12 g on 42.
    ensure!(sugar - stock(client, "pearl-sugar")? == whole(37 * 6), "pearl sugar left");
    ensure!(raisins - stock(client, "raisins")? == whole(42 * 12), "raisins left");
    // Nobody wrote the egg wash down: it left as egg, milk and salt, use loss 10 % (8.1):
    // 37 x 2 g / 0.9 x 100/120.5 of liquid egg.
    let document = lot(client, "sugar-bun")?["document"].as_str().context("one")?.to_owned();
    let egg = client.get("/v1/lots?item=liquid-egg")?.success()?;
    let ids: Vec<&Value> =
        egg["rows"].as_array().context("rows")?.iter().map(|row| &row["id"]).collect();
    let own = entries(client, &document)?;
    let used = own.iter().filter(|row| ids.contains(&&row["lot"]));
    let mut sum = whole(0);
    for row in used {
        sum += parse(row["amount"]["amount"].as_str().context("an amount")?)?;
    }
    let exact = whole(-74) / parse("0.9")? * whole(100) / parse("120.5")?;
    let apart = (&sum - &exact) * whole(1_000_000);
    ensure!(apart < whole(1) && apart > whole(-1), "{sum} against {exact}");
    ensure!(own.iter().any(|row| row["kind"] == "make"), "{own:?}");
    // The step says what it did.
    let kept = posted(&baked)?;
    ensure!(kept["product_lots"].as_array().map(Vec::len) == Some(4), "{kept}");
    check(client)?;
    // Once: the same again changes nothing, and a later step makes nothing anew.
    let again = step(client, &load, "baked", &json!({"who": "Emil"}))?;
    ensure!(again == baked, "a retry under another key has no second effect");
    step(client, &load, "packed", &json!({"who": "Fay"}))?;
    ensure!(lots(client, "2026-06-12")?.len() == 4, "packing makes no other lots");
    Ok(())
}

#[test]
fn a_count_back_corrects_what_was_only_planned_and_the_waste_report_says_why() -> Result<()> {
    let (server, load) = divided()?;
    let client = server.client();
    step(client, &load, "baked", &json!({"who": "Emil"}))?;
    let count = |good: i64, burnt: i64| {
        json!({"who": "Emil", "products": [{"product": "sugar-bun", "good": good,
            "rejected": [{"pieces": burnt, "reason": "burnt", "route": "feed"}]}]})
    };
    let counted = step(client, &load, "count-back", &count(33, 4))?;
    ensure!(counted["state"] == "baked", "a count is no state: {counted}");
    ensure!(lot(client, "sugar-bun")?["left"]["amount"] == "33", "33 are good");
    let burnt = |client: &weighhouse_tests::client::Client| -> Result<Vec<Value>> {
        let report = client.get("/v1/waste")?.success()?;
        let lines = report["lines"].as_array().cloned().context("lines")?;
        Ok(lines.into_iter().filter(|line| line["reason"] == "burnt").collect())
    };
    let lines = burnt(client)?;
    ensure!(lines.len() == 1 && lines[0]["quantity"]["amount"] == "4", "{lines:?}");
    ensure!(lines[0]["route"] == "feed" && lines[0]["batch"] == load["id"], "{lines:?}");
    check(client)?;
    // The same again is one count; another one takes the first back by counter-entries.
    step(client, &load, "count-back", &count(33, 4))?;
    ensure!(burnt(client)?.len() == 1, "a retry is no second count");
    step(client, &load, "count-back", &count(35, 2))?;
    ensure!(lot(client, "sugar-bun")?["left"]["amount"] == "35", "counted again");
    let lines = burnt(client)?;
    ensure!(lines.len() == 1 && lines[0]["quantity"]["amount"] == "2", "{lines:?}");
    check(client)?;
    // What was counted teaches the reject figure, and changes nothing by itself.
    let yields = client.get("/v1/yields")?.success()?;
    let rows = yields["rows"].as_array().context("rows")?;
    let seen = rows.iter().find(|row| row["code"] == "sugar-bun").context("sugar-bun")?;
    ensure!(seen["observations"] == 1, "one load, counted twice: {seen}");
    Ok(())
}

#[test]
fn every_fault_of_a_count_is_named_at_once_and_nothing_is_posted() -> Result<()> {
    let (server, load) = divided()?;
    let client = server.client();
    let before = client.get("/v1/ledger/check")?.success()?["entries"].clone();
    let path = format!("/v1/loads/{}/baked", load["id"].as_str().context("an id")?);
    let body = json!({"who": "Emil", "products": [
        {"product": "sugar-bun", "good": 30,
         "rejected": [{"pieces": 1, "reason": "fell asleep"}],
         "used": [{"item": "pearl-sugar", "lots": [{"lot": "PS-NONE"}]}]},
        {"product": "no-such-bun", "good": 3},
    ]});
    let refused = client.post(&path, &body)?;
    ensure!(refused.status == 422, "{}", refused.text());
    let errors = refused.json()?["errors"].as_array().cloned().context("errors")?;
    let pointers: Vec<_> = errors.iter().filter_map(|error| error["pointer"].as_str()).collect();
    for pointer in
        ["/products/0/rejected/0/reason", "/products/0/used/0/lots/0/lot", "/products/1/product"]
    {
        ensure!(pointers.iter().any(|found| found.ends_with(pointer)), "{pointer}: {errors:?}");
    }
    let after = client.get("/v1/ledger/check")?.success()?["entries"].clone();
    ensure!(before == after, "nothing half-written: {before} {after}");
    Ok(())
}

#[test]
fn the_lot_that_the_hand_wrote_wins_also_on_the_pieces() -> Result<()> {
    // Source: trade rules part 4: the hand writes what was used; the written one is true.
    let (server, load) = divided()?;
    let client = server.client();
    let golden = stock(client, "golden-raisins")?;
    let plain = stock(client, "raisins")?;
    let body = json!({"who": "Emil", "products": [{"product": "fruit-bun", "good": 42,
        "used": [{"item": "golden-raisins", "instead_of": "raisins",
                  "lots": [{"lot": "GR-77", "new": true}]}]}]});
    let baked = step(client, &load, "baked", &body)?;
    ensure!(stock(client, "raisins")? == plain, "no plain raisins went in");
    ensure!(golden - stock(client, "golden-raisins")? == whole(504), "12 g on 42 buns");
    let notes = posted(&baked)?["notes"].to_string();
    ensure!(notes.contains("GR-77 was not entered"), "{notes}");
    check(client)?;
    Ok(())
}

#[test]
fn a_load_that_is_lost_after_baking_wastes_its_pieces() -> Result<()> {
    let (server, load) = divided()?;
    let client = server.client();
    step(client, &load, "baked", &json!({"who": "Emil"}))?;
    step(client, &load, "lost", &json!({"who": "Emil", "reason": "over proofed"}))?;
    for row in lots(client, "2026-06-12")? {
        ensure!(row["left"]["amount"] == "0", "{row}");
    }
    let report = client.get("/v1/waste")?.success()?;
    let lines = report["lines"].as_array().context("lines")?;
    ensure!(lines.iter().filter(|line| line["reason"] == "over-proofed").count() == 4, "{report}");
    check(client)?;
    Ok(())
}
