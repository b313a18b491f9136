//! Orders that come late: each is asked about at the moment at which it comes.

use super::tally::Tally;
use anyhow::{Context, Result};
use serde_json::{Value, json};
use weighhouse_tests::{row::Row, scenario::Scenario, server::Server};

const SECTION: &str = "late_orders";

/// Asks about each late order at its own moment and compares what is said of its lines.
///
/// The server comes back at the horizon's moment.
///
/// # Errors
/// The expected file or an answer cannot be read.
pub fn late_orders(
    expected: &Value,
    scenario: &Scenario,
    mut server: Server,
    now: &str,
    tally: &mut Tally,
) -> Result<Server> {
    let expected = expected.as_array().context("late_orders is no list")?;
    for (number, value) in expected.iter().enumerate() {
        let mut row = Row::new(value, format!("late order {number}"))?;
        let at = row.any(&["placed", "placed_at", "at", "asked_at", "now"]).and_then(Value::as_str);
        server = server.at(at.unwrap_or(now))?;
        let asked = asked(&mut row, scenario)?;
        let answer = server.client().post("/v1/orders/check", &asked)?.success()?;
        match row.any(&["lines"]) {
            Some(lines) => each(lines, scenario, &answer, tally)?,
            None => line(&mut row, &answer["lines"][0], tally),
        }
        row.finish()?;
    }
    server.at(now)
}

/// The question, from who and when and what.
fn asked(row: &mut Row<'_>, scenario: &Scenario) -> Result<Value> {
    let customer = scenario.codes.known(row.need_text("customer")?)?.to_owned();
    let date = row.need_text("service_date")?.to_owned();
    let drop = row.any(&["time", "drop"]).and_then(Value::as_str).unwrap_or("07:00").to_owned();
    let mut lines = Vec::new();
    let mut add = |name: &str, quantity: &Value| -> Result<()> {
        let product = scenario.codes.known(name)?;
        lines.push(json!({"line_ref": product, "product": product, "quantity": quantity}));
        Ok(())
    };
    if let Some(product) = row.any(&["product"]) {
        let quantity = row.any(&["quantity", "pieces", "asked"]).context("a quantity")?;
        add(product.as_str().context("a product")?, quantity)?;
    }
    if let Some(pieces) = row.any(&["pieces_by_product", "by_product", "wanted"]) {
        for (name, quantity) in pieces.as_object().context("pieces by product")? {
            add(name, quantity)?;
        }
    }
    Ok(json!({
        "order_ref": "late", "customer": customer, "service_date": date, "drop": drop,
        "lines": lines,
    }))
}

/// Lines that are listed one by one.
fn each(lines: &Value, scenario: &Scenario, answer: &Value, tally: &mut Tally) -> Result<()> {
    for value in lines.as_array().context("lines is no list")? {
        let mut row = Row::new(value, "a late line")?;
        let product = scenario.codes.known(row.need_text("product")?)?;
        row.any(&["quantity", "pieces", "asked"]);
        let found = answer["lines"].as_array().into_iter().flatten();
        let found = found.clone().find(|line| line["product"] == product).cloned();
        line(&mut row, &found.unwrap_or_default(), tally);
        row.finish()?;
    }
    Ok(())
}

/// What is said of one line.
fn line(row: &mut Row<'_>, found: &Value, tally: &mut Tally) {
    let place = row.place().to_owned();
    let instants = [
        (&["cutoff", "cutoff_applied"][..], &found["cutoff"]),
        (&["first_step", "first_step_at", "first_irreversible_step"], &found["first_step"]["at"]),
        (&["earliest", "earliest_ready", "offered"], &found["earliest"]),
    ];
    for (keys, found) in instants {
        match row.any(keys) {
            Some(Value::Null) => tally.same(SECTION, &place, &Value::Null, found),
            Some(expected) => tally.instant(SECTION, &place, expected, found),
            None => {}
        }
    }
    let values = [
        (&["taken", "quantity_taken"][..], &found["quantity_taken"]),
        (&["at_most", "possible"], &found["at_most"]),
        (&["from_overs"], &found["from"]["overs"]),
        (&["from_stock"], &found["from"]["stock"]),
        (&["reason"], &found["reason"]),
    ];
    for (keys, found) in values {
        if let Some(expected) = row.any(keys) {
            tally.same(SECTION, &place, expected, found);
        }
    }
    if let Some(expected) = row.any(&["in_time"]) {
        let late = ["too-late", "cutoff", "from-overs", "from-stock", "extra-load"];
        let late = late.iter().any(|word| found["reason"] == *word);
        tally.same(SECTION, &place, expected, &json!(!late));
    }
}
