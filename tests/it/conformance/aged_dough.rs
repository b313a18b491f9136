//! Figures that follow from aged dough in stock, which no call takes yet.
//!
//! Where the expected file credits aged dough to a batch, that batch, all that it is made
//! of and their draws on stock are set aside and counted; everything else is compared.

use super::{pair::Answers, tally::Tally};
use anyhow::Result;
use num_traits::Zero;
use serde_json::{Map, Value};
use std::collections::BTreeSet;
use weighhouse_tests::{row, scenario::Scenario};

/// Name under which the figures are counted.
const AGED: &str = "figures that follow from aged dough";

/// Takes the figures that aged dough changes out of both sides.
///
/// `totals` are the answers from which sums over all needs are made: there, an item that
/// is drawn for such a batch is left out altogether.
///
/// # Errors
/// The expected file cannot be read.
pub fn set_aside(
    scenario: &Scenario,
    expected: &mut Map<String, Value>,
    answers: &mut Answers,
    totals: &mut Answers,
    tally: &mut Tally,
) -> Result<()> {
    let touched = touched(scenario, expected.get("batches").unwrap_or(&Value::Null))?;
    if touched.is_empty() {
        return Ok(());
    }
    let is_touched = |name: &str| touched.contains(name);
    let of_load = |load: &Value| {
        load.as_str()
            .and_then(|load| load.rsplit_once(" for "))
            .is_some_and(|(name, _)| is_touched(name))
    };
    let mut drawn = fruits_aside(scenario, expected, &touched, tally);
    let fruits = drawn.clone();
    for (section, key) in [("batches", "formula"), ("needs", "load")] {
        let Some(rows) = expected.get_mut(section).and_then(Value::as_array_mut) else { continue };
        rows.retain(|row| {
            let fruit = row["item"].as_str().is_some_and(|item| fruits.contains(item));
            let aside = match key {
                "load" => fruit || of_load(&row[key]),
                _ => row[key].as_str().is_some_and(is_touched),
            };
            if aside {
                tally.not_due(AGED, row);
                drawn.extend(row["item"].as_str().map(str::to_owned));
            }
            !aside
        });
    }
    if let Some(sums) = expected.get_mut("need_totals").and_then(Value::as_object_mut) {
        sums.retain(|item, _| !drawn.contains(item));
    }
    let name = |value: &Value| scenario.codes.name(value.as_str().unwrap_or_default()).to_owned();
    for answer in answers.values_mut() {
        retain(answer, "batches", |row| !touched.contains(&name(&row["formula"])));
        retain(answer, "needs", |row| {
            !touched.contains(&name(&row["for"])) && !fruits.contains(&name(&row["item"]))
        });
        retain(answer, "fruit", |row| !fruits.contains(&name(&row["fruit"])));
    }
    for answer in totals.values_mut() {
        retain(answer, "needs", |row| !drawn.contains(&name(&row["item"])));
    }
    Ok(())
}

/// Takes out the fruit whose skin or juice goes into such a batch; returns their names.
fn fruits_aside(
    scenario: &Scenario,
    expected: &mut Map<String, Value>,
    touched: &BTreeSet<String>,
    tally: &mut Tally,
) -> BTreeSet<String> {
    let taken: BTreeSet<&String> =
        touched.iter().filter_map(|formula| scenario.uses.get(formula)).flatten().collect();
    let uses_it = |row: &Value| {
        let needs = row["need_g"].as_object();
        needs.is_some_and(|needs| needs.keys().any(|item| taken.contains(item)))
    };
    let mut aside = BTreeSet::new();
    if let Some(fruits) = expected.get_mut("joint_fruit").and_then(Value::as_object_mut) {
        fruits.retain(|fruit, rows| {
            let keep = !rows.as_array().into_iter().flatten().any(uses_it);
            if !keep {
                tally.not_due(AGED, rows);
                aside.insert(fruit.clone());
            }
            keep
        });
    }
    aside
}

fn retain(answer: &mut Value, list: &str, keep: impl Fn(&Value) -> bool) {
    if let Some(rows) = answer[list].as_array_mut() {
        rows.retain(keep);
    }
}

/// Formulas with a credit, and all that they are made of.
fn touched(scenario: &Scenario, batches: &Value) -> Result<BTreeSet<String>> {
    let mut open = Vec::new();
    for batch in batches.as_array().into_iter().flatten() {
        let credit = batch.get("aged_dough_credit_g").filter(|credit| !credit.is_null());
        let credited = match credit {
            Some(credit) => !row::number(credit, "aged_dough_credit_g")?.is_zero(),
            None => false,
        };
        if credited {
            open.extend(batch["formula"].as_str().map(str::to_owned));
        }
    }
    let mut touched = BTreeSet::new();
    while let Some(formula) = open.pop() {
        if let Some(uses) = scenario.uses.get(&formula) {
            open.extend(uses.iter().filter(|used| !touched.contains(*used)).cloned());
            touched.insert(formula);
        }
    }
    Ok(touched)
}
