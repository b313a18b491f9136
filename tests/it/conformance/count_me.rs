//! What is below nothing by the book: counted first.

use super::tally::Tally;
use anyhow::{Context, Result};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use weighhouse_tests::{client::Client, scenario::Scenario};

const SECTION: &str = "count_me_first";

/// Compares the items that ask to be counted, as a set: its order is nobody's statement.
///
/// # Errors
/// The expected file or the answer cannot be read.
pub fn count_me_first(
    expected: &Value,
    scenario: &Scenario,
    client: &Client,
    tally: &mut Tally,
) -> Result<()> {
    let mut wanted = BTreeSet::new();
    for value in expected.as_array().context(SECTION)? {
        // A name, or a row that names its item.
        let name = [value, &value["item"], &value["ingredient"]];
        let name = name.into_iter().find_map(Value::as_str).context("no item is named")?;
        wanted.insert(scenario.codes.known(name)?.to_owned());
    }
    let stock = client.get("/v1/stock?limit=1000")?.success()?;
    let rows = stock["rows"].as_array().context("rows")?;
    let found: BTreeSet<String> = rows
        .iter()
        .filter(|row| row["count_me"] == true)
        .filter_map(|row| row["item"].as_str().map(str::to_owned))
        .collect();
    tally.same(SECTION, "items below nothing", &json!(wanted), &json!(found));
    Ok(())
}
