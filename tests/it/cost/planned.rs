//! Planned cost: the plan's own lots.

use anyhow::{Context, Result, ensure};
use num_rational::BigRational;
use serde_json::{Value, json};
use weighhouse_tests::{demo, exact::parse};

fn of<'a>(sheet: &'a Value, list: &str, key: &str, code: &str) -> Result<&'a Value> {
    let lines = sheet[list].as_array().context("a list")?;
    lines.iter().find(|line| line[key] == code).with_context(|| code.to_owned())
}

#[test]
fn a_bun_costs_what_the_lots_cost_that_the_plan_proposes() -> Result<()> {
    // Source: trade rules 2.11: planned cost is this plan's rounded issues from its lots.
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let path = "/v1/service-dates/2026-06-12/costs?kind=planned";
    let sheet = client.get(path)?.success()?;
    ensure!(sheet["kind"] == "planned", "{sheet}");
    let exact = |line: &Value| parse(line["total"]["minor_units_exact"].as_str().unwrap_or(""));
    let bun = of(&sheet, "doughs", "formula", "bun")?;
    // By hand, 8.9 A and 8.5, of flour 10 320 g and so on; in cents. Zest is cut from lemons
    // of 30 cents each, whole fruits drawn use by use: five for the buns.
    let by_hand: BigRational = [
        "10320 21.25 25000",
        "4120 12.60 12360",
        "1236 26.25 25000",
        "1856 74.00 10000",
        "1544 33.00 10000",
        "309 24.00 10000",
        "185.4 11.25 25000",
    ]
    .iter()
    .map(|row| {
        let mut parts = row.split(' ').map(parse);
        let mut next = || parts.next().context("a part")?;
        let (grams, price, per) = (next()?, next()?, next()?);
        Ok(grams * price * parse("100")? / per)
    })
    .sum::<Result<BigRational>>()?;
    let lemons = exact(bun)? - by_hand;
    ensure!(lemons == parse("150")?, "five lemons at 30 cents: {bun}");
    // All lines add up as on every cost sheet, and another price of a lot moves it.
    let sum: i64 = sheet["products"]
        .as_array()
        .context("products")?
        .iter()
        .filter_map(|line| line["total"]["minor_units"].as_i64())
        .sum();
    ensure!(sheet["total"]["minor_units"] == json!(sum), "{sheet}");
    let croissant = of(&sheet, "products", "product", "croissant")?;
    ensure!(croissant["per_good_piece"]["printed"].as_str() > Some("0.2"), "{croissant}");
    let paper = client.get_as(path, "text/html")?.text();
    ensure!(paper.contains("Planned cost") && !paper.contains("Standard cost"), "{paper}");
    Ok(())
}
