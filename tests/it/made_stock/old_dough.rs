//! Old dough as an ingredient: its limits, its age, and what earlier mixes keep of it.

use super::{FRIDAY, Yard, bakery};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, server::Server};

/// The bakery with a rustic dough that takes old dough by a line.
fn with(line: &Value, more: &[Value]) -> Result<Value> {
    let mut bakery = bakery();
    let mut lines = vec![
        json!({"item": "white", "parts": "100", "flour": true}),
        json!({"item": "water", "parts": "80"}),
        line.clone(),
    ];
    lines.extend(more.iter().cloned());
    let formulas = bakery["formulas"].as_array_mut().context("formulas")?;
    formulas.push(json!({"code": "rustic", "base": "parts",
        "made": {"day": -1, "time": "12:00"}, "lines": lines}));
    let products = bakery["products"].as_array_mut().context("products")?;
    products.push(super::product("round", "rustic", "1000"));
    Ok(bakery)
}

fn old(item: &str, parts: &str) -> Value {
    json!({"item": item, "parts": parts, "previous_batch": true,
        "old_dough": {"age": {"least": "PT8H", "most": "PT48H"}, "maximum": "20"}})
}

fn refused(bakery: &Value) -> Result<String> {
    let server = Server::start("2026-06-10T09:30:00+02:00")?;
    let client: &Client = server.client();
    let reply = client.put_bakery(bakery)?;
    ensure!(reply.status == 422, "{}", reply.text());
    Ok(reply.text())
}

/// # Source
/// Trade.md 2.7: at most so many percent of the new flour, only into doughs of an equal or
/// wider allergen set.
#[test]
fn over_its_limit_or_with_a_new_allergen_it_is_refused_at_save() -> Result<()> {
    let text = refused(&with(&old("dough", "20.01"), &[])?)?;
    ensure!(text.contains("20.01 % of the new flour"), "{text}");
    ensure!(text.contains("/lines/2/old_dough/maximum"), "{text}");
    let text = refused(&with(&old("bun", "20"), &[])?)?;
    ensure!(text.contains("would bring milk into `rustic`"), "{text}");
    // Exactly at the limit, and milk into a dough with milk, are fine.
    let server = Server::start("2026-06-10T09:30:00+02:00")?;
    let milky = with(&old("bun", "20"), &[json!({"item": "milk", "parts": "5"})])?;
    server.client().put_bakery(&milky)?.success()?;
    let text = refused(&with(
        &json!({"item": "dough", "parts": "20",
        "old_dough": {"age": {"least": "PT9H", "most": "PT8H"}}}),
        &[],
    )?)?;
    ensure!(text.contains("the least age of 540 min is above the most"), "{text}");
    ensure!(text.contains("old dough comes from a previous batch of another formula"), "{text}");
    Ok(())
}

/// 10 rounds of 1 kg: 20/200 = 1 000 g of old dough at Thursday 12:00.
#[test]
fn found_scrap_is_drawn_only_at_the_right_age() -> Result<()> {
    for (made_at, short) in [
        ("2026-06-11T04:00:00+02:00", "0"),
        ("2026-06-11T04:00:01+02:00", "1000"),
        ("2026-06-09T12:00:00+02:00", "0"),
        ("2026-06-09T11:59:59+02:00", "1000"),
    ] {
        let yard = Yard::open("2026-06-11T09:30:00+02:00", &with(&old("dough", "20"), &[])?)?;
        yard.order("round", 10)?;
        yard.lot("dough", "scrap", "1500", &json!({"made_at": made_at}))?;
        yard.lot("dough", "unknown", "1500", &json!({}))?;
        ensure!(yard.short("dough")? == short, "{made_at}: {}", yard.short("dough")?);
        let lots = yard.sheet("2026-06-11", "weigh-out")?;
        let drawn = lots.to_string().contains("\"lot\":\"scrap\"");
        ensure!(drawn == (short == "0"), "{made_at}: {lots}");
        ensure!(!lots.to_string().contains("\"lot\":\"unknown\""), "an unknown age is not drawn");
    }
    Ok(())
}

/// # Source
/// Trade.md 2.7: planned keep-back is demand on today's mix; found scrap is opportunistic.
#[test]
fn what_an_earlier_mix_keeps_is_mixed_with_it_and_drawn_from_no_lot() -> Result<()> {
    let mut bakery = with(&old("dough", "20"), &[])?;
    bakery["formulas"][0]["keep_for_next"] = json!({"amount": "800", "unit": "g"});
    let yard = Yard::open("2026-06-09T09:30:00+02:00", &bakery)?;
    // Dough for Thursday is mixed on Wednesday 10:00; at Thursday 12:00 it is 26 h old.
    yard.order_for("2026-06-11", "07:00", "roll", 20)?;
    yard.order("round", 10)?;
    let mixed = yard.batch_for("2026-06-11", "dough")?;
    Yard::is(&mixed["keep_back"], "800")?;
    // 10 000 / 0.95 + 800 g.
    Yard::is(&mixed["mix_mass"], "11326.315789")?;
    let friday = yard.client().requirements(FRIDAY)?;
    let needs = friday["needs"].as_array().context("needs")?;
    let rest = needs.iter().find(|need| need["item"] == "dough").context("the rest")?;
    Yard::is(&rest["amount"], "200")?;
    // It brings its allergens.
    let allergens = yard.client().allergens("round", &[])?;
    ensure!(allergens["contains"] == json!(["wheat"]), "{allergens}");
    Ok(())
}
