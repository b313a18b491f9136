//! Times of a product's steps, asked for one drop.

use super::tally::Tally;
use anyhow::{Context, Result};
use serde_json::Value;
use weighhouse_tests::{client::Client, row::Row, scenario::Scenario};

const SECTION: &str = "back_schedule";

/// Compares each question of a horizon with the answer of the service.
///
/// # Errors
/// The expected file or an answer cannot be read.
pub fn back_schedule(
    expected: &Value,
    scenario: &Scenario,
    client: &Client,
    tally: &mut Tally,
) -> Result<()> {
    for expected in expected.as_array().context("back_schedule is no list")? {
        let mut row = Row::new(expected, "a back-schedule")?;
        let product = scenario.codes.known(row.need_text("product")?)?.to_owned();
        let (date, time) = (row.need_text("service_date")?, row.need_text("time")?);
        // Who asks changes nothing: the drop is asked for by its time.
        row.need_text("customer")?;
        let place = format!("{product} for {date} {time}");
        let answer = client.schedule_of(date, &product, time)?;
        let found = &answer["products"][0];
        tally.same(SECTION, &format!("{place} loads"), row.need("loads")?, &found["loads"]);
        let steps = row.list("steps")?;
        let rows = found["steps"].as_array().cloned().unwrap_or_default();
        tally.figure(SECTION, steps.len() == rows.len(), || {
            format!("{place}: {} steps are expected, found {}", steps.len(), rows.len())
        });
        for (at, expected) in steps.iter().enumerate() {
            let mut step = Row::new(expected, format!("{place} step {at}"))?;
            let found = rows.get(at).unwrap_or(&Value::Null);
            let place = step.place().to_owned();
            tally.same(SECTION, &format!("{place} name"), step.need("step")?, &found["step"]);
            for key in ["start", "end"] {
                tally.instant(SECTION, &format!("{place} {key}"), step.need(key)?, &found[key]);
            }
            let elapsed = step.need("elapsed_minutes")?;
            tally.same(SECTION, &format!("{place} length"), elapsed, &found["elapsed_minutes"]);
            step.finish()?;
        }
        no_fit(row.get("no_fit").unwrap_or(&Value::Null), &found["no_fit"], &place, tally)?;
        row.finish()?;
    }
    Ok(())
}

/// Which step does not fit, and by how many minutes.
fn no_fit(expected: &Value, found: &Value, place: &str, tally: &mut Tally) -> Result<()> {
    if expected.is_null() || found.is_null() {
        tally.figure(SECTION, expected.is_null() == found.is_null(), || {
            format!("{place}: no_fit {expected} is expected, found {found}")
        });
        return Ok(());
    }
    let mut row = Row::new(expected, format!("{place} no_fit"))?;
    for key in ["step", "minutes"] {
        tally.same(SECTION, &format!("{place} no_fit {key}"), row.need(key)?, &found[key]);
    }
    if let Some(earliest) = row.get("earliest") {
        tally.instant(SECTION, &format!("{place} earliest"), earliest, &found["earliest"]);
    }
    row.finish()
}
