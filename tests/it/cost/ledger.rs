//! What things really cost, by the ledger.

use crate::loads::{release, step};
use anyhow::{Context, Result, ensure};
use num_rational::BigRational;
use num_traits::Zero;
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo, exact::parse};

/// Loads that are weighed and mixed in the demo week.
const LOADS: [&str; 3] = ["2026-06-12:bun:1", "2026-06-12:bun:2", "2026-06-12:detrempe:1"];

fn minor(line: &Value) -> i64 {
    line["money"]["minor_units"].as_i64().unwrap_or(i64::MIN)
}

fn side<'a>(flow: &'a Value, side: &str) -> Result<&'a Vec<Value>> {
    flow[side].as_array().with_context(|| format!("{side} of {flow}"))
}

fn line(flow: &Value, of: &str) -> Result<i64> {
    let lines = side(flow, "came")?.iter().chain(side(flow, "went")?);
    lines.into_iter().find(|line| line["of"] == of).map(minor).with_context(|| of.to_owned())
}

/// What the lots of the demo's receipts cost, by the packs that it buys.
fn prices(client: &Client) -> Result<Vec<(String, BigRational, BigRational)>> {
    let mut found = Vec::new();
    for lot in demo::list(&client.get("/v1/lots?limit=1000")?.success()?, "rows")? {
        let item = lot["item"].as_str().context("an item")?.to_owned();
        let amount = parse(lot["quantity"]["amount"].as_str().context("how much")?)?;
        let price = match lot["price"].as_object() {
            Some(price) => {
                let minor = price["money"]["minor_units"].as_i64().context("a price")?;
                let per = parse(price["per"]["amount"].as_str().context("per what")?)?;
                BigRational::from_integer(minor.into()) / per
            }
            None => BigRational::zero(),
        };
        found.push((item, amount, price));
    }
    Ok(found)
}

#[test]
fn the_money_of_the_demo_week_is_accounted_for_to_the_cent() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let days = "/v1/money-flow?from=2026-01-01&to=2026-06-30";
    let before = client.get(days)?.success()?;
    let bought: BigRational = prices(client)?.iter().map(|(_, left, price)| left * price).sum();
    ensure!(line(&before, "received")? > 0 && line(&before, "in-work")? == 0, "{before}");
    // By hand: every lot's amount at its price.
    let whole = |figure: &BigRational| figure.round().to_integer();
    ensure!(whole(&bought) == line(&before, "left")?.into(), "{bought} is left: {before}");
    for id in LOADS {
        let load = release(client, id)?;
        step(client, &load, "weighings", &json!({"who": "Ben"}))?;
        step(client, &load, "mixed", &json!({"who": "Cem"}))?;
    }
    let rye = demo::list(&client.get("/v1/lots?item=rye")?.success()?, "rows")?;
    let waste = json!({"lot": rye[0]["id"], "quantity": {"amount": "500", "unit": "g"},
        "reason": "spilled", "who": "Ben"});
    client.post("/v1/waste", &waste)?.success()?;
    let flow = client.get(days)?.success()?;
    let total = flow["total"]["minor_units"].as_i64().context("a total")?;
    for sums in ["came", "went"] {
        let sum: i64 = side(&flow, sums)?.iter().map(minor).sum();
        ensure!(sum == total, "{sums} sums to {sum}, not {total}");
    }
    ensure!(line(&flow, "received")? == line(&before, "received")?, "nothing came in");
    // Source: Alder Yard 8.5: 16 kg of rye for 16.00.
    ensure!(line(&flow, "wasted")? == 50, "half a kilogram of rye: {flow}");
    let issued = flow["issued"]["minor_units"].as_i64().context("issued")?;
    let made = line(&flow, "left-made")? + line(&flow, "in-work")?;
    ensure!(issued > 5_000 && (issued - made).abs() <= 1, "{issued} went in, {made} is there");
    let paper = client.get_as(days, "text/html")?.text();
    ensure!(paper.contains("Money flow") && paper.contains("<svg"), "{paper}");
    let csv = client.get_as("/v1/money-flow.csv?to=2026-06-30", "text/csv")?.text();
    ensure!(csv.lines().count() == 11, "{csv}");
    Ok(())
}

#[test]
fn a_load_costs_what_its_lots_cost_and_tomorrows_price_moves_nothing() -> Result<()> {
    // Source: trade rules 2.11: yesterday's actual never moves when today's price does.
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let load = release(client, LOADS[0])?;
    step(client, &load, "weighings", &json!({"who": "Ben"}))?;
    step(client, &load, "mixed", &json!({"who": "Cem"}))?;
    let path = "/v1/service-dates/2026-06-12/actual-costs";
    let cost = client.get(path)?.success()?;
    let work = &cost["works"][0];
    ensure!(work["formula"] == "bun" && work["number"] == 1, "{cost}");
    // Source: 8.9 A and 8.5: 5 160 g of flour at 21.25 for 25 kg are 438.6 cents.
    let inputs = work["inputs"].as_array().context("inputs")?;
    let flour = inputs.iter().find(|line| line["item"] == "strong-white").context("flour")?;
    ensure!(flour["cost"]["minor_units_exact"] == "438.600000", "{flour}");
    let all: BigRational = inputs
        .iter()
        .map(|line| parse(line["cost"]["minor_units_exact"].as_str().unwrap_or_default()))
        .sum::<Result<BigRational>>()?;
    let made = parse(work["made"][0]["cost"]["minor_units_exact"].as_str().context("made")?)?;
    ensure!(all == made && work["in_work"]["minor_units_exact"] == "0.000000", "{work}");
    // A dearer flour from today on.
    let packs = demo::list(&client.get("/v1/packs?limit=1000")?.success()?, "rows")?;
    let pack = packs.iter().find(|pack| pack["item"] == "strong-white").context("a pack")?;
    let mut dearer = pack.clone();
    dearer["code"] = json!("strong-white-june");
    dearer["valid_from"] = json!("2026-06-10");
    dearer["price"]["minor_units"] = json!(4_250);
    client.put("/v1/packs/strong-white-june", &dearer, None)?.success()?;
    let after = client.get(path)?.success()?;
    ensure!(after["works"] == cost["works"], "{after}");
    Ok(())
}
