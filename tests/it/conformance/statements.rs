//! Statements about formulas and products: both views, allergens, allergens after a swap.

use super::tally::Tally;
use anyhow::{Context, Result, bail};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use weighhouse_tests::{client::Client, row::Row, scenario::Scenario};

/// Compares one of the sections that need no orders.
///
/// # Errors
/// The expected file or an answer cannot be read.
pub fn compare(
    section: &str,
    expected: &Value,
    scenario: &Scenario,
    client: &Client,
    tally: &mut Tally,
) -> Result<()> {
    match section {
        "overall" => {
            for (formula, expected) in expected.as_object().context("overall")? {
                let answer = client.views(scenario.codes.known(formula)?)?;
                overall(formula, expected, &answer, scenario, tally)?;
            }
        }
        "allergens" => {
            for (product, expected) in expected.as_object().context("allergens")? {
                let answer = client.allergens(scenario.codes.known(product)?, &[])?;
                let mut row = Row::new(expected, format!("allergens of {product}"))?;
                allergens("allergens", &mut row, &answer, scenario, tally)?;
                row.finish()?;
            }
        }
        "allergens_with_substitute" => {
            for expected in expected.as_array().context("allergens_with_substitute")? {
                with_swap(expected, scenario, client, tally)?;
            }
        }
        other => bail!("no statement is called `{other}`"),
    }
    Ok(())
}

fn overall(
    formula: &str,
    expected: &Value,
    answer: &Value,
    scenario: &Scenario,
    tally: &mut Tally,
) -> Result<()> {
    let mut row = Row::new(expected, format!("overall of {formula}"))?;
    let place = row.place().to_owned();
    for key in ["flour_parts", "water", "bound_water", "salt", "prefermented"] {
        let value = row.need(key)?;
        tally.number("overall", &format!("{place} {key}"), value, &answer[key]);
    }
    let flours = row.table("flours")?;
    let found = answer["flours"].as_array().cloned().unwrap_or_default();
    for (item, percent) in &flours {
        let code = scenario.codes.known(item)?;
        let row = found.iter().find(|row| row["item"] == code);
        let found = row.map_or(&Value::Null, |row| &row["percent"]);
        tally.number("overall", &format!("{place} flour {item}"), percent, found);
    }
    tally.figure("overall", found.len() == flours.len(), || {
        format!("{place}: {} flours are expected, found {}", flours.len(), json!(found))
    });
    row.finish()
}

fn allergens(
    section: &'static str,
    expected: &mut Row,
    answer: &Value,
    scenario: &Scenario,
    tally: &mut Tally,
) -> Result<()> {
    let place = expected.place().to_owned();
    for key in ["contains", "may_contain"] {
        let words = words(expected.list(key)?)?;
        let found = set(&answer[key]);
        tally.figure(section, words == found, || {
            format!("{place} {key}: expected {words:?}, found {found:?}")
        });
    }
    let mut unknown = BTreeSet::new();
    for item in words(expected.list("unknown")?)? {
        unknown.insert(scenario.codes.known(&item)?.to_owned());
    }
    let found = set(&answer["unknown"]);
    tally.figure(section, unknown == found, || {
        format!("{place} unknown: expected {unknown:?}, found {found:?}")
    });
    Ok(())
}

fn words(values: &[Value]) -> Result<BTreeSet<String>> {
    let word = |value: &Value| {
        let text = value.as_str().or_else(|| value.get("item")?.as_str());
        text.map(str::to_owned).with_context(|| format!("{value} is not a word"))
    };
    values.iter().map(word).collect()
}

/// The words of an answer; something else than a list of words equals no set of words.
fn set(value: &Value) -> BTreeSet<String> {
    let Some(elements) = value.as_array() else { return BTreeSet::from([value.to_string()]) };
    let word = |value: &Value| value.as_str().map_or_else(|| value.to_string(), str::to_owned);
    elements.iter().map(word).collect()
}

fn with_swap(
    expected: &Value,
    scenario: &Scenario,
    client: &Client,
    tally: &mut Tally,
) -> Result<()> {
    let mut row = Row::new(expected, "allergens with a substitute")?;
    let product = row.need_text("product")?;
    let swap = row.table("swap")?;
    let known = scenario.swaps.iter().any(|asked| {
        asked.product == product
            && asked.items.len() == swap.len()
            && swap.iter().all(|(from, to)| {
                asked.items.iter().any(|(a, b)| a == from && Some(b.as_str()) == to.as_str())
            })
    });
    if !known {
        bail!("allergens of {product} with a swap are expected that the scenario does not ask");
    }
    let mut codes = Vec::new();
    for (from, to) in swap {
        let to = to.as_str().context("a swap is not to an item")?;
        codes.push((scenario.codes.known(from)?, scenario.codes.known(to)?));
    }
    let answer = client.allergens(scenario.codes.known(product)?, &codes)?;
    allergens("allergens_with_substitute", &mut row, &answer, scenario, tally)?;
    row.finish()
}
