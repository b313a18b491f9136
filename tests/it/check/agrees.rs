//! What is said when somebody asks is what happens when the order then comes.

use super::line;
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use weighhouse_tests::{builders::Seed, client::Client, demo};

const CUSTOMERS: [&str; 4] = ["hill-school", "pier-hotel", "harbour-cafe", "counter"];
const DATES: [&str; 3] = ["2026-06-12", "2026-06-13", "2026-06-16"];
const PRODUCTS: [&str; 8] = [
    "country-large",
    "baguette-350",
    "seed-tin",
    "sugar-bun",
    "custard-bun",
    "croissant",
    "raisin-spiral",
    "almond-croissant",
];

/// An order from a seed; one in three is a change of one that is held.
fn order(seed: &mut Seed, number: i64) -> Value {
    let mut lines = Vec::new();
    for at in 0..seed.between(1, 4) {
        let most = if seed.chance(25) { 800 } else { 30 };
        lines.push(json!({
            "line_ref": at.to_string(),
            "product": seed.pick(&PRODUCTS),
            "quantity": seed.between(0, most),
        }));
    }
    let changed = number > 3 && seed.chance(33);
    let name = if changed { seed.between(1, number - 1) } else { number };
    json!({
        "order_ref": format!("seeded-{name}"), "version": number,
        "customer": seed.pick(&CUSTOMERS), "service_date": seed.pick(&DATES), "drop": "07:00",
        "lines": lines,
    })
}

/// What is short of each item that nobody can be asked for any more.
fn lost(client: &Client) -> Result<BTreeMap<String, String>> {
    let sheet = client.get("/v1/shortages")?.success()?;
    let mut short = BTreeMap::new();
    for group in sheet["groups"].as_array().into_iter().flatten() {
        for line in group["lines"].as_array().into_iter().flatten() {
            let open = line["latest"]["gone"] == json!(false);
            if line["pressing"] == "must" && !open {
                let item = line["item"].as_str().unwrap_or_default().to_owned();
                short.insert(item, line["short_exact"]["amount"].to_string());
            }
        }
    }
    Ok(short)
}

fn ask_and_send(client: &Client, order: &Value) -> Result<()> {
    let told = client.post("/v1/orders/check", order)?.success()?;
    let before = lost(client)?;
    let held = client.post_order(order)?.success()?;
    let of = || format!("asked {order}\ntold {told}\nheld {held}");
    ensure!(told["would_be"] == held["state"], "{}", of());
    for said in told["lines"].as_array().context("lines")? {
        let taken = line(&held, said["line_ref"].as_str().unwrap_or_default())?;
        ensure!(said["quantity_taken"] == taken["quantity_taken"], "{}", of());
        ensure!(said["surplus"] == taken["surplus"], "{}", of());
        ensure!(said["cutoff"] == taken["cutoff"] || taken["cutoff"].is_null(), "{}", of());
        let from = &said["from"];
        if !from.is_null() {
            let parts = ["held", "stock", "overs", "load"].map(|part| from[part].as_i64());
            let sum: Option<i64> = parts.into_iter().sum();
            ensure!(sum == said["at_most"].as_i64(), "the sources do not add up: {}", of());
        }
    }
    let lines = told["lines"].as_array().context("lines")?;
    if lines.iter().all(|line| line["could_be_made"] == "yes") {
        // What can be made takes nothing that cannot be had.
        for (item, short) in lost(client)? {
            let was = before.get(&item);
            ensure!(was == Some(&short) || was.is_some(), "{item} is lost now: {}", of());
        }
    }
    Ok(())
}

#[test]
fn the_answer_to_a_question_is_what_becomes_of_the_order() -> Result<()> {
    let mut number = 0;
    let mut seed = Seed::new(20_260_610);
    let mut server = demo::serve(&demo::document("bakery")?)?;
    // In time, after the buns are weighed, and late on the day before.
    for now in [demo::NOW, "2026-06-10T13:05:00+02:00", "2026-06-11T17:30:00+02:00"] {
        server = server.at(now)?;
        for _ in 0..30 {
            number += 1;
            let order = order(&mut seed, number);
            ask_and_send(server.client(), &order).with_context(|| format!("at {now}"))?;
        }
    }
    Ok(())
}
