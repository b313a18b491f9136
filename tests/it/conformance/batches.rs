//! Batches: net, gross, loads, lines as weighed, issue totals, pieces per load.

use super::{
    pair::Answers,
    pieces::rows,
    tally::{Tally, amount},
};
use anyhow::{Context, Result};
use num_traits::Zero;
use serde_json::{Value, json};
use weighhouse_tests::{exact, row::Row, scenario::Scenario};

const SECTION: &str = "batches";

/// Compares every batch of every service date.
///
/// # Errors
/// The expected file cannot be read.
pub fn batches(
    expected: &Value,
    scenario: &Scenario,
    answers: &Answers,
    tally: &mut Tally,
) -> Result<()> {
    let mut seen = Vec::new();
    for value in expected.as_array().context("batches is not a list")? {
        let mut row = Row::new(value, "a batch")?;
        let (formula, date) = (row.need_text("formula")?, row.need_text("service_date")?);
        let place = format!("{formula} for {date}");
        let code = scenario.codes.known(formula)?;
        seen.push((date, code));
        let found = rows(answers, date, "batches").iter().find(|found| found["formula"] == code);
        match found {
            None => tally.missing(SECTION, &place, "expected"),
            Some(found) => {
                batch(&place, &mut row, found, scenario, tally).with_context(|| place.clone())?;
                row.finish()?;
            }
        }
    }
    for (date, answer) in answers {
        for found in answer["batches"].as_array().into_iter().flatten() {
            let code = found["formula"].as_str().unwrap_or_default();
            let some = !amount(&found["gross"], "gross")?.is_zero() || found["loads"] != 0;
            if some && !seen.contains(&(date.as_str(), code)) {
                let name = scenario.codes.name(code);
                tally.missing(SECTION, &format!("{name} for {date}"), "found");
            }
        }
    }
    Ok(())
}

fn batch(
    place: &str,
    row: &mut Row,
    found: &Value,
    scenario: &Scenario,
    tally: &mut Tally,
) -> Result<()> {
    let made_at = row.get("made_at").cloned().unwrap_or_default();
    tally.instant(SECTION, &format!("{place} made_at"), &made_at, &found["made_at"]);
    asked(place, row.list("asked")?, found, scenario, tally)?;
    for (key, name) in [
        ("net", "net"),
        ("gross_exact", "gross"),
        ("keep_back_exact", "keep_back"),
        ("total_mix_exact", "mix_mass"),
        ("loads", "loads"),
        ("residue_per_load", "residue_per_load"),
    ] {
        tally.number(SECTION, &format!("{place} {key}"), row.need(key)?, &found[name]);
    }
    let credit = &found["aged_dough_credit"];
    let wanted = row.get("aged_dough_credit_g").cloned().unwrap_or(json!("0"));
    tally.number(SECTION, &format!("{place} aged_dough_credit"), &wanted, credit);
    let mixer = match row.text("mixer")? {
        None => Value::Null,
        Some(mixer) => json!(scenario.codes.known(mixer)?),
    };
    tally.same(SECTION, &format!("{place} mixer"), &mixer, &found["mixer"]);
    let under = row.need("under_minimum")?;
    tally.same(SECTION, &format!("{place} under_minimum"), under, &found["under_minimum"]);
    options(place, row.list("options")?, found, scenario, tally)?;
    match row.get("blocks") {
        None => tally.same(SECTION, &format!("{place} blocks"), &Value::Null, &found["blocks"]),
        Some(blocks) => {
            tally.number(SECTION, &format!("{place} blocks"), blocks, &found["blocks"]);
        }
    }
    load_groups(place, row.list("load_groups")?, &found["load_groups"], scenario, tally)?;
    issue_totals(place, row.list("issue_totals")?, &found["issue_totals"], scenario, tally)?;
    let loads = row.whole("loads")?.unwrap_or(0);
    match row.get("pieces_per_load") {
        Some(wanted) => pieces_per_load(place, wanted, &found["pieces_per_load"], scenario, tally),
        // The model splits pieces only over several loads; one load holds them all.
        None if loads > 1 => {
            let none = found["pieces_per_load"].as_array().is_none_or(Vec::is_empty);
            tally.figure(SECTION, none, || {
                format!("{place}: no pieces per load are expected, found some")
            });
            Ok(())
        }
        None => Ok(()),
    }
}

/// Compares who asked for how much, by name.
///
/// The model does not list what a formula in blocks asks of its base dough.
fn asked(
    place: &str,
    expected: &[Value],
    found: &Value,
    scenario: &Scenario,
    tally: &mut Tally,
) -> Result<()> {
    let mut left: Vec<(String, _)> = Vec::new();
    for row in found["asked"].as_array().into_iter().flatten() {
        let by = row["by"].as_str().unwrap_or_default();
        if !scenario.block_formulas.contains(scenario.codes.name(by)) {
            left.push((by.to_owned(), amount(&row["amount"], place)?));
        }
    }
    for value in expected {
        let mut row = Row::new(value, "what was asked")?;
        let by = row.need_text("by")?;
        let wanted = row.need("g_or_batches")?;
        row.finish()?;
        let code = scenario.codes.known(by)?;
        let place = format!("{place} asked by {by}");
        match left.iter().position(|(by, _)| by == code) {
            None => tally.missing(SECTION, &place, "expected"),
            Some(at) => {
                let got = json!(exact::decimal(&left.remove(at).1, 6));
                tally.number(SECTION, &place, wanted, &got);
            }
        }
    }
    for (by, amount) in left {
        if !amount.is_zero() {
            tally.missing(SECTION, &format!("{place} asked by {by}"), "found");
        }
    }
    Ok(())
}

fn options(
    place: &str,
    expected: &[Value],
    found: &Value,
    scenario: &Scenario,
    tally: &mut Tally,
) -> Result<()> {
    let mut wanted = Vec::new();
    for option in expected {
        let text = option.as_str().context("an option is not a text")?;
        wanted.push(match text.split_once(": ") {
            Some((what, mixer)) => format!("{what}: {}", scenario.codes.known(mixer)?),
            None => text.to_owned(),
        });
    }
    let empty = json!([]);
    let found = if found["options"].is_null() { &empty } else { &found["options"] };
    tally.same(SECTION, &format!("{place} options"), &json!(wanted), found);
    Ok(())
}

fn load_groups(
    place: &str,
    expected: &[Value],
    found: &Value,
    scenario: &Scenario,
    tally: &mut Tally,
) -> Result<()> {
    let groups = found.as_array().map_or(0, Vec::len);
    tally.figure(SECTION, groups == expected.len(), || {
        format!("{place}: {} kinds of load are expected, found {groups}", expected.len())
    });
    for (number, value) in expected.iter().enumerate() {
        let mut row = Row::new(value, "a kind of load")?;
        let place = format!("{place} load kind {}", number + 1);
        let found = &found[number];
        for (key, name) in [
            ("loads", "loads"),
            ("mix_exact", "mix_mass"),
            ("weighed_sum", "weighed"),
            ("nudges", "nudges"),
        ] {
            tally.number(SECTION, &format!("{place} {key}"), row.need(key)?, &found[name]);
        }
        match row.get("units_each") {
            None => tally.same(SECTION, &format!("{place} units"), &Value::Null, &found["units"]),
            Some(units) => {
                tally.number(SECTION, &format!("{place} units"), units, &found["units"]);
            }
        }
        for key in ["within_quarter_percent", "hydration_moved"] {
            let flag = row.get(key).cloned().unwrap_or_default();
            tally.same(SECTION, &format!("{place} {key}"), &flag, &found[key]);
        }
        lines(&place, row.list("lines")?, &found["lines"], scenario, tally)?;
        row.finish()?;
    }
    Ok(())
}

fn lines(
    place: &str,
    expected: &[Value],
    found: &Value,
    scenario: &Scenario,
    tally: &mut Tally,
) -> Result<()> {
    let count = found.as_array().map_or(0, Vec::len);
    tally.figure(SECTION, count == expected.len(), || {
        format!("{place}: {} lines are expected, found {count}", expected.len())
    });
    for (number, value) in expected.iter().enumerate() {
        let mut row = Row::new(value, "a line")?;
        let item = row.need_text("item")?;
        let place = format!("{place} line {item}");
        let found = &found[number];
        let code = json!(scenario.codes.known(item)?);
        tally.same(SECTION, &format!("{place} item"), &code, &found["item"]);
        let exact = row.need("exact")?;
        tally.number(SECTION, &format!("{place} exact"), exact, &found["exact"]);
        match row.get("weigh") {
            None => tally.same(SECTION, &format!("{place} weigh"), &Value::Null, &found["weigh"]),
            Some(weigh) => {
                tally.number(SECTION, &format!("{place} weigh"), weigh, &found["weigh"]);
            }
        }
        let scale = row.text("scale")?.map(|scale| scenario.codes.known(scale)).transpose()?;
        tally.same(SECTION, &format!("{place} scale"), &json!(scale), &found["scale"]);
        let state = row.get("state").cloned().unwrap_or_default();
        tally.same(SECTION, &format!("{place} state"), &state, &found["state"]);
        let wanted = row.list("weighings")?;
        row.finish()?;
        let got = found["weighings"].as_array().map_or(&[][..], Vec::as_slice);
        // One weighing need not be listed: it is the amount itself.
        let same_count = wanted.len() == got.len() || (wanted.len() < 2 && got.len() < 2);
        tally.figure(SECTION, same_count, || {
            format!("{place}: {} weighings are expected, found {}", wanted.len(), got.len())
        });
        for (wanted, got) in wanted.iter().zip(got) {
            tally.number(SECTION, &format!("{place} weighing"), wanted, got);
        }
    }
    Ok(())
}

fn issue_totals(
    place: &str,
    expected: &[Value],
    found: &Value,
    scenario: &Scenario,
    tally: &mut Tally,
) -> Result<()> {
    let count = found.as_array().map_or(0, Vec::len);
    tally.figure(SECTION, count == expected.len(), || {
        format!("{place}: {} issue totals are expected, found {count}", expected.len())
    });
    for (number, value) in expected.iter().enumerate() {
        let mut row = Row::new(value, "an issue total")?;
        let item = row.need_text("item")?;
        let place = format!("{place} issue of {item}");
        let found = &found[number];
        let code = json!(scenario.codes.known(item)?);
        tally.same(SECTION, &format!("{place} item"), &code, &found["item"]);
        let issue = row.need("issue")?;
        tally.number(SECTION, &place, issue, &found["issue"]);
        let unit = row.get("unit").cloned().unwrap_or_default();
        tally.same(SECTION, &format!("{place} unit"), &unit, &found["issue"]["unit"]);
        let count = row.get("count").cloned().unwrap_or_default();
        tally.same(SECTION, &format!("{place} count"), &count, &found["count"]);
        row.finish()?;
    }
    Ok(())
}

fn pieces_per_load(
    place: &str,
    expected: &Value,
    found: &Value,
    scenario: &Scenario,
    tally: &mut Tally,
) -> Result<()> {
    let expected = expected.as_array().context("pieces_per_load is not a list")?;
    let count = found.as_array().map_or(0, Vec::len);
    tally.figure(SECTION, count == expected.len(), || {
        format!("{place}: pieces of {} loads are expected, found {count}", expected.len())
    });
    for (number, value) in expected.iter().enumerate() {
        let mut row = Row::new(value, "pieces of a load")?;
        let place = format!("{place} pieces of load {}", number + 1);
        let found = &found[number];
        tally.same(SECTION, &place, row.need("load")?, &found["load"]);
        for (product, wanted) in row.table("pieces")? {
            let code = scenario.codes.known(product)?;
            let list = found["pieces"].as_array().into_iter().flatten();
            let got = list.into_iter().find(|row| row["product"] == code);
            let got = got.map_or(json!(0), |row| row["pieces"].clone());
            tally.number(SECTION, &format!("{place} of {product}"), wanted, &got);
        }
        tally.number(SECTION, &format!("{place} mass"), row.need("mass_g")?, &found["mass"]);
        row.finish()?;
    }
    Ok(())
}
