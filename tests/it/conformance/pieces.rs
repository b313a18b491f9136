//! Demand: pieces, day-old draws, refused lines, fruit and draws on stock.

use super::{
    pair::{Answers, RefusedLine},
    tally::{Tally, amount},
};
use anyhow::{Context, Result};
use num_rational::BigRational;
use num_traits::Zero;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use weighhouse_tests::{
    exact,
    row::{self, Row},
    scenario::Scenario,
};

/// The list under a key of a date's answer; none if it is missing.
pub fn rows<'a>(answers: &'a Answers, date: &str, key: &str) -> &'a [Value] {
    let list = answers.get(date).and_then(|answer| answer[key].as_array());
    list.map_or(&[], Vec::as_slice)
}

fn elements(value: &Value) -> Result<&[Value]> {
    value.as_array().map(Vec::as_slice).context("the section is not a list")
}

/// Compares the way from orders to start pieces.
///
/// # Errors
/// The expected file cannot be read.
pub fn pieces(
    expected: &Value,
    scenario: &Scenario,
    answers: &Answers,
    tally: &mut Tally,
) -> Result<()> {
    let mut seen = Vec::new();
    for value in elements(expected)? {
        let mut row = Row::new(value, "a row of pieces")?;
        let (product, date) = (row.need_text("product")?, row.need_text("service_date")?);
        let code = scenario.codes.known(product)?;
        let place = format!("{product} on {date}");
        let found = rows(answers, date, "pieces").iter().find(|found| found["product"] == code);
        let Some(found) = found else {
            tally.missing("pieces", &place, "expected");
            continue;
        };
        seen.push((date, code));
        by_customer(&place, row.table("by_customer")?, found, scenario, tally)?;
        for (key, name) in [
            ("orders", "ordered"),
            ("day_after", "day_after"),
            ("test", "test_pieces"),
            ("from_stock", "from_stock"),
            ("net", "net"),
            ("good_planned", "good_planned"),
            ("overs", "overs"),
            ("start", "start"),
        ] {
            tally.number("pieces", &format!("{place} {key}"), row.need(key)?, &found[name]);
        }
        let trays = row.get("trays").cloned().unwrap_or_default();
        tally.same("pieces", &format!("{place} trays"), &trays, &found["trays"]);
        row.finish()?;
    }
    for (date, answer) in answers {
        for found in answer["pieces"].as_array().into_iter().flatten() {
            let code = found["product"].as_str().unwrap_or_default();
            let started = !amount(&found["start"], "start")?.is_zero();
            if started && !seen.contains(&(date.as_str(), code)) {
                let name = scenario.codes.name(code);
                tally.missing("pieces", &format!("{name} on {date}"), "found");
            }
        }
    }
    Ok(())
}

/// Compares who ordered how many; nobody named is as good as none.
fn by_customer(
    place: &str,
    expected: Vec<(&str, &Value)>,
    found: &Value,
    scenario: &Scenario,
    tally: &mut Tally,
) -> Result<()> {
    let mut pieces: BTreeMap<String, BigRational> = BTreeMap::new();
    for row in found["by_customer"].as_array().into_iter().flatten() {
        let customer = row["customer"].as_str().unwrap_or_default();
        *pieces.entry(customer.to_owned()).or_insert_with(BigRational::zero) +=
            amount(&row["pieces"], place)?;
    }
    for (customer, wanted) in expected {
        let code = scenario.codes.known(customer)?;
        let got = pieces.remove(code).unwrap_or_else(BigRational::zero);
        let place = format!("{place} for {customer}");
        let text = json!(exact::decimal(&got, 6));
        tally.number("pieces", &place, wanted, &text);
    }
    for (code, pieces) in pieces {
        tally.figure("pieces", pieces.is_zero(), || {
            format!("{place}: nothing is expected for {}, found some", scenario.codes.name(&code))
        });
    }
    Ok(())
}

/// Compares day-old goods drawn from stock.
///
/// # Errors
/// The expected file cannot be read.
pub fn day_old(
    expected: &Value,
    scenario: &Scenario,
    answers: &Answers,
    tally: &mut Tally,
) -> Result<()> {
    let section = "day_old_from_stock";
    let mut wanted = Sums::default();
    for value in elements(expected)? {
        let mut row = Row::new(value, "a draw of day-old goods")?;
        let date = row.need_text("service_date")?;
        let product = scenario.codes.known(row.need_text("product")?)?;
        let used_in = scenario.codes.known(row.need_text("for")?)?;
        let baked = row.need_text("baked")?;
        wanted.add(vec![date, product, baked, used_in], row.need("pieces")?)?;
        row.finish()?;
    }
    let mut found = Sums::default();
    for (date, answer) in answers {
        for row in answer["day_old_draws"].as_array().into_iter().flatten() {
            let text = |key: &str| row[key].as_str().unwrap_or_default();
            found.add(vec![date, text("product"), text("baked"), text("for")], &row["pieces"])?;
        }
    }
    wanted.compare(&found, section, scenario, tally);
    Ok(())
}

/// Compares which lines were refused, and why where the reason says it in known words.
///
/// # Errors
/// The expected file cannot be read.
pub fn refused_lines(
    expected: &Value,
    scenario: &Scenario,
    refused: &[RefusedLine],
    tally: &mut Tally,
) -> Result<()> {
    let section = "refused_lines";
    let mut left: Vec<&RefusedLine> = refused.iter().collect();
    for value in elements(expected)? {
        let mut row = Row::new(value, "a refused line")?;
        let date = row.need_text("service_date")?;
        let product = scenario.codes.known(row.need_text("product")?)?;
        let customer = row.text("customer")?.map(|name| scenario.codes.known(name)).transpose()?;
        let reason = row.any(&["reason", "why"]).map(Value::to_string).unwrap_or_default();
        let quantity = row.any(&["quantity", "asked", "qty", "pieces"]);
        row.finish()?;
        let at = left.iter().position(|line| {
            line.service_date == date
                && line.product == product
                && customer.is_none_or(|customer| line.customer == customer)
        });
        let place = format!("{product} on {date} for {customer:?} of {quantity:?}");
        let Some(line) = at.map(|at| left.remove(at)) else {
            tally.missing(section, &place, "expected");
            continue;
        };
        let word = line.reason.as_str().unwrap_or_default();
        let wanted = [
            ("negative", "negative-quantity"),
            ("fraction", "fractional-quantity"),
            ("whole", "fractional-quantity"),
        ];
        let wanted = wanted.iter().find(|(said, _)| reason.contains(said));
        let same = !word.is_empty() && wanted.is_none_or(|(_, slug)| word == *slug);
        tally.figure(section, same, || format!("{place}: expected {reason}, found {word}"));
    }
    for line in left {
        tally.missing(section, &format!("{line:?}"), "found");
    }
    Ok(())
}

/// Compares how many fruit give skin and juice.
///
/// # Errors
/// The expected file cannot be read.
pub fn joint_fruit(
    expected: &Value,
    scenario: &Scenario,
    answers: &Answers,
    tally: &mut Tally,
) -> Result<()> {
    let section = "joint_fruit";
    for (fruit, rows_expected) in expected.as_object().context("joint_fruit is not an object")? {
        let code = scenario.codes.known(fruit)?;
        for value in elements(rows_expected)? {
            let mut row = Row::new(value, "a row of joint fruit")?;
            let date = row.need_text("service_date")?;
            let place = format!("{fruit} on {date}");
            let found = rows(answers, date, "fruit").iter().find(|found| found["fruit"] == code);
            let found = found.unwrap_or(&Value::Null);
            for (key, list, name) in [
                ("need_g", "needs", "amount"),
                ("fruit_for", "needs", "fruit"),
                ("spare_g", "spare", "amount"),
            ] {
                for (item, wanted) in row.table(key)? {
                    let item_code = scenario.codes.known(item)?;
                    let list = found[list].as_array().into_iter().flatten();
                    let got = list.into_iter().find(|row| row["item"] == item_code);
                    let got = got.map_or(&Value::Null, |row| &row[name]);
                    tally.number(section, &format!("{place} {key} {item}"), wanted, got);
                }
            }
            for (key, name) in [
                ("fruit", "fruit_count"),
                ("fruit_if_surplus_not_kept", "fruit_count_if_surplus_not_kept"),
            ] {
                tally.number(section, &format!("{place} {key}"), row.need(key)?, &found[name]);
            }
            row.finish()?;
        }
    }
    for (date, answer) in answers {
        for found in answer["fruit"].as_array().into_iter().flatten() {
            let fruit = scenario.codes.name(found["fruit"].as_str().unwrap_or_default());
            let wanted = expected[fruit].as_array().into_iter().flatten();
            let wanted = wanted.into_iter().any(|row| row["service_date"] == date.as_str());
            if !wanted && !amount(&found["fruit_count"], "fruit_count")?.is_zero() {
                tally.missing(section, &format!("{fruit} on {date}"), "found");
            }
        }
    }
    Ok(())
}

/// Amounts by what they are for, to compare lists whose order means nothing.
#[derive(Debug, Default)]
struct Sums(BTreeMap<Vec<String>, BigRational>);

impl Sums {
    fn add(&mut self, key: Vec<&str>, value: &Value) -> Result<()> {
        let place = key.join(", ");
        let key = key.into_iter().map(str::to_owned).collect();
        *self.0.entry(key).or_insert_with(BigRational::zero) += amount(value, &place)?;
        Ok(())
    }

    fn compare(&self, found: &Self, section: &'static str, scenario: &Scenario, tally: &mut Tally) {
        let shown = |key: &[String]| {
            key.iter().map(|part| scenario.codes.name(part)).collect::<Vec<_>>().join(", ")
        };
        for (key, wanted) in &self.0 {
            match found.0.get(key) {
                None => tally.missing(section, &shown(key), "expected"),
                Some(got) => tally.figure(section, exact::within_a_millionth(wanted, got), || {
                    let texts = [wanted, got].map(|value| exact::decimal(value, 6));
                    format!("{}: expected {}, found {}", shown(key), texts[0], texts[1])
                }),
            }
        }
        for key in found.0.keys().filter(|key| !self.0.contains_key(*key)) {
            tally.missing(section, &shown(key), "found");
        }
    }
}

/// Compares every draw on stock: when, of what, how much, for which load.
///
/// # Errors
/// The expected file cannot be read.
pub fn needs(
    expected: &Value,
    scenario: &Scenario,
    answers: &Answers,
    tally: &mut Tally,
) -> Result<()> {
    let mut wanted = Sums::default();
    for value in elements(expected)? {
        let mut row = Row::new(value, "a need")?;
        let load = row.need_text("load")?;
        let (used_in, date) = load
            .rsplit_once(" for ")
            .with_context(|| format!("the load `{load}` is not `thing for date`"))?;
        let item = scenario.codes.known(row.need_text("item")?)?;
        let key = vec![row.need_text("t")?, item, scenario.codes.known(used_in)?, date];
        wanted.add(key, row.need("qty")?)?;
        row.finish()?;
    }
    let found = found_needs(answers, |row, date| {
        let text = |key: &str| row[key].as_str().unwrap_or_default().to_owned();
        vec![text("at"), text("item"), text("for"), date.to_owned()]
    })?;
    wanted.compare(&found, "needs", scenario, tally);
    Ok(())
}

fn found_needs(answers: &Answers, key: impl Fn(&Value, &str) -> Vec<String>) -> Result<Sums> {
    let mut found = Sums::default();
    for (date, answer) in answers {
        for row in answer["needs"].as_array().into_iter().flatten() {
            let key = key(row, date);
            found.add(key.iter().map(String::as_str).collect(), &row["amount"])?;
        }
    }
    Ok(found)
}

/// Compares what all draws of an item come to.
///
/// # Errors
/// The expected file cannot be read.
pub fn need_totals(
    expected: &Value,
    scenario: &Scenario,
    answers: &Answers,
    tally: &mut Tally,
) -> Result<()> {
    let mut wanted = Sums::default();
    for (item, total) in expected.as_object().context("need_totals is not an object")? {
        row::number(total, item)?;
        wanted.add(vec![scenario.codes.known(item)?], total)?;
    }
    let item = |row: &Value, _: &str| vec![row["item"].as_str().unwrap_or_default().to_owned()];
    wanted.compare(&found_needs(answers, item)?, "need_totals", scenario, tally);
    Ok(())
}
