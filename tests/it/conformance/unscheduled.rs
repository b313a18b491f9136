//! Made things that no time fits.

use super::{pair::Answers, tally::Tally};
use anyhow::{Context, Result};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use weighhouse_tests::{row::Row, scenario::Scenario};

const SECTION: &str = "unscheduled";

/// Compares what has no time with the batches that the service gives none.
///
/// # Errors
/// The expected file or an answer cannot be read.
pub fn unscheduled(
    expected: &Value,
    scenario: &Scenario,
    answers: &Answers,
    tally: &mut Tally,
) -> Result<()> {
    let mut wanted = BTreeSet::new();
    for value in expected.as_array().context("unscheduled is no list")? {
        wanted.insert(match value {
            // `thing for date`, as the steps of shortages are named.
            Value::String(text) => {
                let (name, date) = text.rsplit_once(" for ").context("`thing for date`")?;
                (scenario.codes.known(name)?.to_owned(), date.to_owned())
            }
            _ => {
                let mut row = Row::new(value, "an unscheduled batch")?;
                let name = row.any(&["formula", "item", "dough", "what"]).context("a formula")?;
                let name = name.as_str().context("a name")?;
                let date = row.need_text("service_date")?.to_owned();
                // Why it has none is compared where its times are asked for.
                row.any(&["no_fit", "reason", "why", "step"]);
                row.get("minutes");
                row.finish()?;
                (scenario.codes.known(name)?.to_owned(), date)
            }
        });
    }
    let mut found = BTreeSet::new();
    for (date, answer) in answers {
        for batch in answer["batches"].as_array().into_iter().flatten() {
            if batch["made_at"].is_null() {
                let code = batch["formula"].as_str().unwrap_or_default();
                found.insert((code.to_owned(), date.clone()));
            }
        }
    }
    tally.same(SECTION, "number of batches", &json!(wanted.len()), &json!(found.len()));
    for one in wanted.union(&found) {
        tally.figure(SECTION, wanted.contains(one) && found.contains(one), || {
            let side = if wanted.contains(one) { "expected" } else { "found" };
            format!("{one:?}: only {side}")
        });
    }
    Ok(())
}
