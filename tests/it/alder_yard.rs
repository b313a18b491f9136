//! The worked answers of the invented bakery.
//!
//! # Source
//! The scenario of Alder Yard Bakehouse, parts 8.4, 8.8 and 8.9 (A, B, C, D, F, G, H),
//! and its two closing consequences. All of it was computed by hand from invented data.

mod computed;
mod served;

use anyhow::{Context, Result};
use num_traits::Signed;
use serde_json::Value;
use weighhouse_tests::{
    demo,
    exact::{self, parse},
    server::Server,
};

/// The two mornings as the API answers them.
struct Morning {
    friday: Value,
    saturday: Value,
    server: Server,
}

impl Morning {
    /// The demo as it is kept.
    fn new() -> Result<Self> {
        Self::of(&demo::document("bakery")?)
    }

    /// The demo's stock and orders in another bakery.
    fn of(bakery: &Value) -> Result<Self> {
        let server = demo::serve(bakery)?;
        let [friday, saturday] = demo::SERVICE_DATES;
        let client = server.client();
        let (friday, saturday) = (client.requirements(friday)?, client.requirements(saturday)?);
        Ok(Self { friday, saturday, server })
    }
}

/// The row of a list of an answer with a key of a value.
fn row<'a>(answer: &'a Value, list: &str, key: &str, value: &str) -> Result<&'a Value> {
    let rows = answer[list].as_array().with_context(|| format!("no list `{list}`"))?;
    let found = rows.iter().find(|row| row[key] == value);
    found.with_context(|| format!("no row of `{list}` with {key} {value}"))
}

fn batch<'a>(answer: &'a Value, formula: &str) -> Result<&'a Value> {
    row(answer, "batches", "formula", formula)
}

/// Fails unless an amount in grams (or pieces), written with so many digits, is the
/// answer rounded to them.
#[track_caller]
fn shows(what: &str, answer: &Value, written: &str) {
    let found = answer["amount"].as_str().and_then(|text| parse(text).ok());
    let places = written.split_once('.').map_or(0, |(_, digits)| digits.len());
    let off = found.map(|found| (found - parse(written).expect("a number")).abs());
    let half = parse(&format!("0.{}51", "0".repeat(places))).expect("a number");
    assert!(off.is_some_and(|off| off <= half), "{what}: expected {written}, found {answer}");
}

/// Fails unless an amount is exactly as written.
#[track_caller]
fn is(what: &str, answer: &Value, written: &str) {
    let found = answer["amount"].as_str().and_then(|text| parse(text).ok());
    let same = found.is_some_and(|found| found == parse(written).expect("a number"));
    assert!(same, "{what}: expected {written}, found {answer}");
}

/// A number of an answer as a whole one.
fn whole(value: &Value) -> Option<i64> {
    value.as_i64().or_else(|| value.as_str().and_then(|text| text.parse().ok()))
}

/// The sum of amounts that were picked from a list.
fn sum<'a>(rows: impl Iterator<Item = &'a Value>) -> Result<num_rational::BigRational> {
    let mut sum = exact::whole(0);
    for row in rows {
        sum += parse(row["amount"].as_str().context("an amount")?)?;
    }
    Ok(sum)
}
