//! A newcomer's first hour, over plain HTTP alone.
//!
//! Load the bakery, post an order, change it, read the weigh-out, ask why a line weighs
//! what it weighs, and come to the same digits with a calculator.

mod bad_input;
pub mod calculator;
mod retries;
mod sheets;

use anyhow::{Context, Result, ensure};
use calculator::Calculator;
use serde_json::{Value, json};
use weighhouse_tests::{
    client::Client,
    demo,
    exact::{parse, whole},
    server::Server,
};

/// The work date on which Friday's buns are weighed.
const WORK_DATE: &str = "2026-06-10";
/// Friday.
const SERVICE_DATE: &str = "2026-06-12";

/// An order of one line.
fn order(version: i64, buns: i64) -> Value {
    json!({
        "order_ref": "till-1-000001",
        "version": version,
        "customer": "harbour-cafe",
        "service_date": SERVICE_DATE,
        "drop": "07:00",
        "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": buns}],
    })
}

/// The lines of a sheet, wherever they stand in it, whose `why` is in a batch.
fn lines_of<'a>(sheet: &'a Value, batch: &str, found: &mut Vec<&'a Value>) {
    match sheet {
        Value::Array(parts) => parts.iter().for_each(|part| lines_of(part, batch, found)),
        Value::Object(parts) => {
            let why = sheet["why"].as_str();
            if why.is_some_and(|why| why.starts_with(&format!("/v1/why/lines/{batch}/"))) {
                found.push(sheet);
            }
            parts.values().for_each(|part| lines_of(part, batch, found));
        }
        _ => {}
    }
}

/// A line of the buns' first load on the weigh-out.
fn bun_line(client: &Client, item: &str) -> Result<Value> {
    let sheet = client.weigh_out(WORK_DATE)?;
    let mut lines = Vec::new();
    lines_of(&sheet, &format!("{SERVICE_DATE}/bun"), &mut lines);
    let line = lines.into_iter().find(|line| line["item"] == item);
    line.cloned().with_context(|| format!("the weigh-out has no {item} for the buns: {sheet}"))
}

#[test]
fn an_order_its_change_and_the_weigh_out() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    let client = server.client();
    let bakery = demo::document("bakery")?;
    client.put_bakery(&bakery)?.success().context("load the bakery")?;
    let taken = client.post_order(&order(1, 480))?.success().context("post an order")?;
    ensure!(taken["lines"][0]["quantity_taken"] == 480, "{taken}");
    let before = bun_line(client, "fine-salt")?;
    let changed = client.post_order(&order(2, 520))?.success().context("change it")?;
    ensure!(changed["version"] == 2 && changed["stale"] == false, "{changed}");
    ensure!(
        changed["plan_revision"].as_i64() > taken["plan_revision"].as_i64(),
        "a change counts: {changed}"
    );
    let after = bun_line(client, "fine-salt")?;
    ensure!(before["weigh"] != after["weigh"], "more buns, more salt: {before} then {after}");
    // By hand: 520 buns of 80 g, rejects 1 %, scrap 1.5 %, ferment 0.5 %, residue 100 g,
    // at most 16 kg in a load; salt is 1.8 parts of 198.
    let start = (whole(520) / parse("0.99")?).ceil();
    let gross = start * whole(80) / parse("0.985")? / parse("0.995")?;
    let loads = (&gross / whole(15_900)).ceil();
    let load = gross / &loads + whole(100);
    let salt = load * parse("1.8")? / whole(198);
    let tenths = (salt * whole(10) + parse("0.5")?).floor() / whole(10);
    let weigh = parse(after["weigh"]["amount"].as_str().context("an amount")?)?;
    ensure!(weigh == tenths, "expected {tenths}, found {after}");
    let mut calculator = Calculator::new(client);
    let result = calculator.follow(after["why"].as_str().context("a why")?)?;
    ensure!(calculator.steps >= 6, "only {} steps lead there", calculator.steps);
    ensure!(result == weigh * loads, "the chain ends at {result}");
    Ok(())
}

#[test]
fn a_line_of_the_demo_day_is_reproduced_from_its_chain() -> Result<()> {
    // Source: 8.9 A of the invented bakery: 5160 g of strong white in each load of
    // Friday's buns, 10 320 g issued for two loads.
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let line = bun_line(client, "strong-white")?;
    ensure!(line["weigh"] == json!({"amount": "5160", "unit": "g"}), "{line}");
    ensure!(line["exact"]["amount"] == "5150.867139", "{line}");
    let mut calculator = Calculator::new(client);
    let issued = calculator.follow(line["why"].as_str().context("a why")?)?;
    ensure!(issued == whole(10_320), "issued {issued}");
    // The chain reaches the orders of all four bun products.
    for product in ["sugar-bun", "fruit-bun", "custard-bun", "lemon-knot"] {
        let pieces = format!("/v1/why/pieces/{SERVICE_DATE}/{product}");
        ensure!(calculator.seen.contains_key(&pieces), "{product} is not in the chain");
    }
    // Every other line of the load too.
    for item in ["whole-milk", "caster-sugar", "butter", "liquid-egg", "water", "lemon-zest"] {
        let line = bun_line(client, item)?;
        Calculator::new(client).follow(line["why"].as_str().context("a why")?)?;
    }
    Ok(())
}

#[test]
fn every_why_of_the_demo_mornings_can_be_followed() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let mut calculator = Calculator::new(client);
    let mut broken = Vec::new();
    for date in demo::SERVICE_DATES {
        let mut links = Vec::new();
        whys(&client.requirements(date)?, &mut links);
        ensure!(!links.is_empty(), "{date} explains nothing");
        for link in links {
            broken.extend(calculator.follow(&link).err().map(|error| format!("{error:#}")));
        }
    }
    ensure!(broken.is_empty(), "{} chains break:\n{}", broken.len(), broken.join("\n"));
    ensure!(calculator.steps > 1000, "only {} steps were computed", calculator.steps);
    Ok(())
}

pub fn whys(answer: &Value, links: &mut Vec<String>) {
    match answer {
        Value::Array(parts) => parts.iter().for_each(|part| whys(part, links)),
        Value::Object(parts) => {
            links.extend(answer["why"].as_str().map(str::to_owned));
            parts.values().for_each(|part| whys(part, links));
        }
        _ => {}
    }
}
