//! What goes out of date before the plan uses it.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{
    demo, exact,
    stockroom::{amount, id, open, receive},
};

fn row<'a>(answer: &'a Value, lot: &str) -> Result<&'a Value> {
    let rows = answer["rows"].as_array().context("rows")?;
    rows.iter().find(|row| row["lot"] == lot).with_context(|| format!("no {lot}: {answer}"))
}

#[test]
fn what_nobody_uses_in_time_is_listed_with_its_money_and_its_uses() -> Result<()> {
    let server = open()?;
    let client = server.client();
    let price = json!({"money": {"minor_units": 1260, "currency": "EUR"},
        "per": {"amount": "12", "unit": "L"}});
    let milk = json!({"item": "whole-milk", "lot": "M-1", "quantity": {"amount": "9", "unit": "L"},
        "use_by": "2026-06-11", "place": "chiller", "price": price});
    receive(client, &milk)?;
    receive(client, &json!({"lot": "RY-1", "best_before": "2026-06-12"}))?;
    receive(client, &json!({"lot": "RY-2", "best_before": "2027-06-12"}))?;
    let gone = json!({"item": "honey", "lot": "HO-1", "best_before": "2026-06-09"});
    let gone = id(&receive(client, &gone)?)?;
    let hold = json!({"reason": "look"});
    client.post(&format!("/v1/lots/{gone}/hold"), &hold)?.success()?;
    let found = client.get("/v1/stock/expiring?until=2026-06-20")?.success()?;
    let rows = found["rows"].as_array().context("rows")?;
    let lots: Vec<_> = rows.iter().filter_map(|row| row["lot"].as_str()).collect();
    ensure!(lots == ["HO-1", "M-1", "RY-1"], "by their end, and no others: {found}");
    // By hand: 9 of 12 litres at 12.60; a litre weighs 1.03 kg (alder-yard 8.5).
    let milk = row(&found, "M-1")?;
    ensure!(milk["money"]["minor_units"] == 945, "{milk}");
    ensure!(milk["left_over"]["amount"] == "9270" && milk["past"] == false, "{milk}");
    ensure!(milk["last"] == "2026-06-11T23:59:59+02:00", "{milk}");
    let uses = milk["formulas"].as_array().context("formulas")?;
    ensure!(uses.contains(&json!("bun")) && uses.contains(&json!("custard")), "{milk}");
    ensure!(row(&found, "HO-1")?["past"] == true && row(&found, "HO-1")?["state"] == "hold");
    // A price that nobody knows is never a zero.
    ensure!(found["total"]["statement"] == "at least 9.45 EUR, 2 prices missing", "{found}");
    let paper = client.get_as("/v1/stock/expiring?until=2026-06-20", "text/html")?.text();
    for words in ["Past a use-by date nothing is used", "PAST: STOP", "not known", "M-1"] {
        ensure!(paper.contains(words), "the sheet lacks `{words}`: {paper}");
    }
    let none = client.get("/v1/stock/expiring?until=2026-06-08")?.success()?;
    ensure!(none["rows"] == json!([]), "a date of the past lists nothing: {none}");
    ensure!(client.get("/v1/stock/expiring?until=soon")?.status == 400);
    Ok(())
}

#[test]
fn what_the_plan_draws_first_expired_first_is_not_left_over() -> Result<()> {
    // Source: alder-yard 8.9 D: Wednesday takes 8.060 kg of the 9.27 kg that end on Thursday,
    // and Thursday the rest of them before it touches the lot of Sunday.
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let found = client.get("/v1/stock/expiring?until=2026-06-13")?.success()?;
    let rows = found["rows"].as_array().context("rows")?;
    ensure!(rows.iter().all(|row| row["lot"] != "M-0611"), "{found}");
    for row in rows {
        let lot = client.get(&format!("/v1/lots/{}", row["id"].as_str().context("an id")?))?;
        let all = amount(&lot.success()?["quantity"])?;
        let (left, planned) = (amount(&row["left_over"])?, amount(&row["planned"])?);
        ensure!(left.clone() + planned <= all && left > exact::whole(0), "{row}");
    }
    Ok(())
}
