//! Pieces baked in part: finished on the day before anything new is mixed.

use super::{FRIDAY, Yard, bakery};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};

/// Temper 60, bake 12, cool 20, drive 10: 102 minutes from the freezer to the drop.
fn house() -> Value {
    let mut house = bakery();
    house["site"]["teams"] = json!([{"code": "oven", "from": "02:00", "to": "10:00"}]);
    house["routes"] = json!([{"code": "finish", "limits": [], "steps": [
        {"step": "temper", "minutes": 60}, {"step": "bake", "minutes": 12, "team": "oven"},
        {"step": "cool", "minutes": 20}, {"step": "drive", "minutes": 10}]}]);
    house["products"][0]["par_baked"] =
        json!({"route": "finish", "age_window": {"least": "PT12H", "most": "P7D"}});
    house
}

/// Eight rolls that were baked in part and frozen at some instant.
fn kept(yard: &Yard, made_at: &str) -> Result<()> {
    let receipt = json!({"item": "roll", "lot": "PB", "use": "par_baked", "place": "freezer",
        "received": "2026-06-08", "made_at": made_at,
        "quantity": {"amount": "8", "unit": "each"}});
    yard.client().post_receipt(&receipt)?.success().context("a receipt is refused")?;
    Ok(())
}

fn rolls(yard: &Yard) -> Result<Value> {
    let answer = yard.client().requirements(FRIDAY)?;
    let pieces = answer["pieces"].as_array().context("pieces")?;
    let line = pieces.iter().find(|line| line["product"] == "roll").context("rolls")?;
    Ok(line.clone())
}

/// # Source
/// Trade.md 2.2.3 and 2.7: par-baked stock comes off before new pieces are begun, and still
/// needs its bake steps; 2.8: back from the drop.
#[test]
fn par_baked_pieces_cover_orders_and_are_finished_back_from_their_drop() -> Result<()> {
    let yard = Yard::open("2026-06-12T04:00:00+02:00", &house())?;
    kept(&yard, "2026-06-08T10:00:00+02:00")?;
    // 05:00 is too soon for them: they would have to be out at 03:18.
    for (drop, pieces) in [("05:00", 4), ("07:00", 10)] {
        let order = json!({"order_ref": drop, "version": 1, "customer": "cafe",
            "service_date": FRIDAY, "drop": drop, "lines_rule": "line_by_line",
            "lines": [{"line_ref": "1", "product": "roll", "quantity": pieces}]});
        yard.client().post_order(&order)?;
    }
    let line = rolls(&yard)?;
    let (ordered, covered) = (line["ordered"].as_i64(), line["from_stock"].as_i64());
    ensure!(covered == Some(8), "{line}");
    ensure!(line["net"].as_i64() == ordered.map(|ordered| ordered - 8), "{line}");
    let schedule = yard.client().get(&format!("/v1/service-dates/{FRIDAY}/schedule"))?.success()?;
    let runs = schedule["products"].as_array().context("products")?;
    let run = runs.iter().find(|run| run["par_baked"] == true).context("a run")?;
    ensure!(run["pieces"] == 8 && run["drop"] == "2026-06-12T07:00:00+02:00", "{run}");
    ensure!(run["steps"][0]["start"] == "2026-06-12T05:18:00+02:00", "{run}");
    ensure!(run["steps"][1]["start"] == "2026-06-12T06:18:00+02:00", "{run}");
    let list = yard.sheet(FRIDAY, "pick-list")?;
    let pull = list["pull"].as_array().context("pull")?;
    let pulled = pull.iter().find(|line| line["lots"][0]["lot"] == "PB").context("a pull line")?;
    ensure!(pulled["by"] == "2026-06-12T05:18:00+02:00", "{pulled}");
    // The oven hand is told that they are not raw.
    let sheet = yard.sheet(FRIDAY, "bake-sheet")?;
    ensure!(sheet.to_string().contains("\"par_baked\":true"), "{sheet}");
    ensure!(yard.page(FRIDAY, "bake-sheet")?.contains("par-baked: finish only"));
    Ok(())
}

/// Out at 05:18 on Friday: 12 h before that is Thursday 17:18, seven days Friday 5 June 05:18.
#[test]
fn par_baked_pieces_are_taken_in_their_age_window_only() -> Result<()> {
    for (made_at, covered) in [
        ("2026-06-11T17:18:00+02:00", 8),
        ("2026-06-11T17:19:00+02:00", 0),
        ("2026-06-05T05:18:00+02:00", 8),
        ("2026-06-05T05:17:00+02:00", 0),
    ] {
        let yard = Yard::open("2026-06-10T09:30:00+02:00", &house())?;
        yard.order("roll", 10)?;
        let yard = yard.at("2026-06-12T05:00:00+02:00")?;
        kept(&yard, made_at)?;
        let line = rolls(&yard)?;
        ensure!(line["from_stock"] == covered, "made {made_at}: {line}");
    }
    Ok(())
}

#[test]
fn a_product_without_a_finish_route_has_no_par_baked_lots() -> Result<()> {
    let yard = Yard::open("2026-06-10T09:30:00+02:00", &bakery())?;
    let receipt = json!({"item": "roll", "lot": "PB", "use": "par_baked",
        "received": "2026-06-08", "quantity": {"amount": "8", "unit": "each"}});
    let refused = yard.client().post_receipt(&receipt)?;
    ensure!(refused.status == 422 && refused.text().contains("/use"), "{}", refused.text());
    Ok(())
}
