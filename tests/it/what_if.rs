//! `POST /v1/what-if` on the demo day: was, now and the difference.
//!
//! What must change is worked out from alder-yard 8.4 to 8.9; the same change is then made
//! for good, and the plan must be what was said.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{demo, server::Server};

fn served() -> Result<Server> {
    demo::serve(&demo::document("bakery")?)
}

fn ask(server: &Server, change: &Value) -> Result<Value> {
    server.client().post("/v1/what-if", change)?.success()
}

fn row<'a>(answer: &'a Value, list: &str, key: &str, value: &str) -> Result<&'a Value> {
    let rows = answer[list].as_array().with_context(|| format!("no list {list}"))?;
    let found = rows.iter().find(|row| row[key] == value);
    found.with_context(|| format!("no {value} among {list}: {}", answer[list]))
}

#[test]
fn an_order_more_is_what_it_becomes_when_it_comes() -> Result<()> {
    let server = served()?;
    let order = json!({
        "order_ref": "till-9", "version": 1, "customer": "harbour-cafe",
        "service_date": "2026-06-12", "drop": "07:00",
        "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": 12}],
    });
    let answer = ask(&server, &json!({"orders": [order]}))?;
    // 72 + 12 = 84 ordered; rejects 1 %: 84 / 0.99 = 84.85, so 85 start pieces (alder-yard 8.1).
    let buns = row(&answer, "pieces", "product", "sugar-bun")?;
    ensure!(buns["ordered"] == json!({"was": 72, "now": 84, "difference": 12}), "{buns}");
    ensure!(buns["start"] == json!({"was": 73, "now": 85, "difference": 12}), "{buns}");
    let rows = answer["pieces"].as_array().context("pieces")?;
    ensure!(rows.len() == 1, "only the buns differ: {rows:?}");
    let mixed = row(&answer, "batches", "formula", "bun")?["mixed"]["now"]["amount"].clone();
    server.client().post_order(&order)?.success()?;
    let found = server.client().requirements("2026-06-12")?;
    let batch = row(&found, "batches", "formula", "bun")?;
    ensure!(batch.to_string().contains(&mixed.to_string()), "{mixed} in {batch}");
    Ok(())
}

#[test]
fn a_cancellation_gives_its_pieces_back() -> Result<()> {
    let answer = ask(&served()?, &json!({"cancellations": ["hill-school-2026-06-12"]}))?;
    // The school orders 120 rolls, 10 tins and 60 fruit buns for Friday (alder-yard 8.4).
    for (product, pieces) in [("crusty-roll", -120), ("seed-tin", -10), ("fruit-bun", -60)] {
        let found = row(&answer, "pieces", "product", product)?;
        ensure!(found["ordered"]["difference"] == pieces, "{found}");
    }
    Ok(())
}

#[test]
fn stock_that_is_gone_runs_short_and_says_whom_it_hits() -> Result<()> {
    let answer = ask(&served()?, &json!({"lots_gone": [{"item": "rye", "lot": "RY-1"}]}))?;
    // Rye: 2.5 kg less is 2.5 kg more short, at Thursday's mix already (alder-yard 8.9 D).
    let rye = row(&answer, "shortages", "item", "rye")?;
    ensure!(rye["change"] == "worse", "{rye}");
    ensure!(rye["short"]["difference"]["amount"] == "2500", "{rye}");
    ensure!(rye["runs_out"]["now"] == "2026-06-11T11:00:00+02:00", "{rye}");
    let hit = row(&answer, "orders_hit", "product", "country-large")?;
    ensure!(hit["because"] == json!(["rye"]) && hit["service_date"] == "2026-06-12", "{hit}");
    // A bag that comes on Thursday morning covers all of it.
    let bag = json!({"item": "rye", "quantity": {"amount": "16", "unit": "kg"},
                     "arrives": "2026-06-11T08:00:00+02:00"});
    let answer = ask(&served()?, &json!({"receipts": [bag]}))?;
    ensure!(row(&answer, "shortages", "item", "rye")?["change"] == "gone", "{answer}");
    Ok(())
}

#[test]
fn a_smaller_bowl_makes_more_loads() -> Result<()> {
    let most = json!({"mixer": "bun-spiral", "dough_class": "enriched",
                      "maximum": {"amount": "8", "unit": "kg"}});
    let answer = ask(&served()?, &json!({"mixers": [most]}))?;
    // 20 197.43 g and 100 g a load in 8 kg: (20 197.43 + 300) / 3 = 6 832 g (trade.md 2.4).
    let bun = row(&answer, "batches", "formula", "bun")?;
    ensure!(bun["loads"] == json!({"was": 2, "now": 3, "difference": 1}), "{bun}");
    Ok(())
}

#[test]
fn a_lost_load_is_shared_by_tier_and_a_new_mix_is_looked_for() -> Result<()> {
    let lost = json!({"dropped": [{"formula": "bun", "service_date": "2026-06-12", "loads": 1}]});
    let answer = ask(&served()?, &lost)?;
    // The second load holds 36/43/24/31 pieces (alder-yard 8.9 A).
    let dropped = row(&answer, "dropped", "formula", "bun")?;
    let pieces = |product: &str| row(dropped, "lost", "product", product);
    for (product, count) in
        [("sugar-bun", 36), ("fruit-bun", 43), ("custard-bun", 24), ("lemon-knot", 31)]
    {
        ensure!(pieces(product)?["pieces"] == count, "{dropped}");
    }
    ensure!(!dropped["remake"].is_null(), "at 09:30 a new mix is still in time: {dropped}");
    // 85 - 43 = 42 fruit buns begun, 41 good: the school (tier 1) ordered 60 and gets all 41.
    let hits = answer["orders_hit"].as_array().context("orders hit")?;
    let gets = |customer: &str| {
        let of = |hit: &&Value| hit["product"] == "fruit-bun" && hit["customer"] == customer;
        hits.iter().find(of).map(|hit| hit["gets"].clone())
    };
    ensure!(gets("hill-school") == Some(json!(41)), "{hits:?}");
    ensure!(gets("counter") == Some(json!(0)), "{hits:?}");
    Ok(())
}

#[test]
fn at_another_moment_what_is_begun_is_too_late_to_grow() -> Result<()> {
    let order = json!({
        "order_ref": "till-9", "customer": "harbour-cafe", "service_date": "2026-06-12",
        "drop": "07:00", "lines": [{"line_ref": "1", "product": "croissant", "quantity": 60}],
    });
    let change = json!({"now": "2026-06-10T11:00:00+02:00", "orders": [order]});
    let answer = ask(&served()?, &change)?;
    // The detrempe for Friday is mixed on Wednesday at 10:00 (alder-yard 8.7).
    let said = answer["new_findings"].to_string();
    ensure!(said.contains("Wed 10 Jun 10:00"), "{said}");
    Ok(())
}

#[test]
fn a_mixer_that_stands_still_stops_what_begins_then() -> Result<()> {
    let noon = json!({"mixer": "bun-spiral", "from": "2026-06-10T12:00:00+02:00",
                      "to": "2026-06-10T13:00:00+02:00"});
    let answer = ask(&served()?, &json!({"outages": [noon]}))?;
    // Friday's buns are weighed on Wednesday at 12:54 (alder-yard 8.9 E).
    let said = answer["new_findings"].to_string();
    ensure!(said.contains("2026-06-12") && said.contains("Wed 10 Jun 12:54"), "{said}");
    let hit = row(&answer, "orders_hit", "product", "sugar-bun")?;
    ensure!(hit["because"] == json!(["bun-spiral"]), "{hit}");
    let morning = json!({"mixer": "bun-spiral", "from": "2026-06-10T06:00:00+02:00",
                         "to": "2026-06-10T08:00:00+02:00"});
    let answer = ask(&served()?, &json!({"outages": [morning]}))?;
    ensure!(answer["orders_hit"] == json!([]), "{answer}");
    Ok(())
}

#[test]
fn all_faults_of_a_change_are_told_at_once() -> Result<()> {
    let change = json!({
        "lots_gone": [{"item": "rye", "lot": "RY-9"}],
        "mixers": [{"mixer": "no-mixer", "dough_class": "enriched",
                    "maximum": {"amount": "1", "unit": "stone"}}],
        "teams": [{"team": "bench", "from": "6", "to": "13:00"}],
        "balances": [{"item": "butter", "quantity": {"amount": "1", "unit": "L"}}],
        "dropped": [{"formula": "bun", "service_date": "2026-06-12", "loads": 0}],
        "cancellations": ["nobody-1"],
        "orders": [{"order_ref": "x", "customer": "nobody", "service_date": "2026-06-12",
                    "drop": "07:00",
                    "lines": [{"line_ref": "1", "product": "no-bun", "quantity": 2.5}]}],
    });
    let server = served()?;
    let refused = server.client().post("/v1/what-if", &change)?;
    ensure!(refused.status == 422, "{}", refused.text());
    let problem = refused.json()?;
    let faults = problem["errors"].as_array().context("errors")?;
    let places: Vec<_> = faults.iter().filter_map(|fault| fault["pointer"].as_str()).collect();
    let expected = [
        "/balances/0/quantity",
        "/cancellations/0",
        "/dropped/0/loads",
        "/lots_gone/0/lot",
        "/mixers/0/maximum/unit",
        "/mixers/0/mixer",
        "/orders/0/customer",
        "/orders/0/lines/0/product",
        "/orders/0/lines/0/quantity",
        "/teams/0/from",
    ];
    ensure!(places == expected, "{places:?}");
    let typo = server.client().post("/v1/what-if", &json!({"order": []}))?;
    ensure!(typo.status == 422, "an unknown key is refused: {}", typo.text());
    Ok(())
}
