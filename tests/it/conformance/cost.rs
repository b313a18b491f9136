//! Standard cost: every piece by formula and price.

use super::tally::Tally;
use anyhow::{Context, Result};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, row::Row, scenario::Scenario};

/// Compares what each product costs for each date.
///
/// # Errors
/// The expected file or an answer cannot be read.
pub fn standard_cost(
    expected: &Value,
    scenario: &Scenario,
    client: &Client,
    tally: &mut Tally,
) -> Result<()> {
    let section = "standard_cost";
    for value in expected.as_array().context("standard_cost")? {
        let mut row = Row::new(value, "a standard cost")?;
        let (name, date) = (row.need_text("product")?, row.need_text("service_date")?);
        let code = scenario.codes.known(name)?;
        let place = format!("{name} on {date}");
        let path = format!("/v1/products/{code}/cost?service_date={date}");
        let found = client.get(&path)?.success().with_context(|| path)?;
        let exact = row.need("per_good_piece_minor_exact")?;
        tally.number(section, &place, exact, &found["per_good_piece"]["minor_units_exact"]);
        let printed = &found["per_good_piece"]["printed"];
        tally.number(section, &place, row.need("per_good_piece")?, printed);
        let state = json!(if found["known"] == true { "known" } else { "at least" });
        tally.same(section, &format!("{place} state"), row.need("state")?, &state);
        let missing = row.list("missing")?;
        let mut codes = Vec::new();
        for item in missing {
            codes.push(json!(scenario.codes.known(item.as_str().unwrap_or_default())?));
        }
        tally.same(section, &format!("{place} missing"), &json!(codes), &found["missing"]);
        let parts = row.list("per_start_piece_minor")?;
        let found_parts = found["parts"].as_array().map_or(&[][..], Vec::as_slice);
        tally.figure(section, parts.len() == found_parts.len(), || {
            format!("{place}: expected {} parts, found {}", parts.len(), json!(found_parts))
        });
        for (value, part) in parts.iter().zip(found_parts) {
            let mut row = Row::new(value, format!("a part of {place}"))?;
            let of = row.any(&["item", "product"]).and_then(Value::as_str).context("no item")?;
            tally.same(section, &place, &json!(scenario.codes.known(of)?), &part["of"]);
            let place = format!("{place} {of}");
            tally.number(section, &place, row.need("exact")?, &part["cost"]["minor_units_exact"]);
            row.finish()?;
        }
        row.finish()?;
    }
    Ok(())
}
