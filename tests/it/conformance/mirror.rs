//! Proof that the comparison can fail: the expected figures of a small pair, turned into
//! answers, agree with themselves, and no single figure can change without a difference.

use super::{batches, pair::Answers, pieces, tally::Tally};
use anyhow::{Context, Result};
use serde_json::{Map, Value, json};
use std::{fs, path::Path};
use weighhouse_tests::{exact, row, scenario::Scenario};

fn pair(name: &str) -> Result<(Scenario, Value)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("conformance");
    let read = |ending: &str| -> Result<Value> {
        let text = fs::read_to_string(folder.join(format!("{name}.{ending}.json")))?;
        Ok(serde_json::from_str(&text)?)
    };
    let mut expected = read("expected")?;
    Ok((Scenario::read(&read("scenario")?)?, expected["horizons"][0].take()))
}

/// A figure as an answer would carry it.
fn quantity(value: &Value) -> Value {
    let text = row::number(value, "a figure").map(|number| exact::decimal(&number, 6));
    text.map_or(Value::Null, |amount| json!({"amount": amount, "unit": "g"}))
}

fn list(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

/// The entries of a table as rows.
fn entries(table: &Value, row: impl Fn(&str, &Value) -> Value) -> Value {
    table.as_object().into_iter().flatten().map(|(key, value)| row(key, value)).collect()
}

/// The answers that would agree with an expected horizon.
fn answers(expected: &Value) -> Result<Answers> {
    let mut answers = Answers::new();
    for piece in list(&expected["pieces"]) {
        let date = piece["service_date"].as_str().context("a date")?;
        let row = json!({
            "product": piece["product"], "ordered": piece["orders"],
            "by_customer": entries(&piece["by_customer"], |customer, pieces| {
                json!({"customer": customer.to_lowercase(), "pieces": pieces})
            }),
            "day_after": piece["day_after"], "test_pieces": piece["test"],
            "from_stock": piece["from_stock"], "net": piece["net"],
            "good_planned": piece["good_planned"], "overs": piece["overs"],
            "start": piece["start"], "trays": piece["trays"],
        });
        push(&mut answers, date, "pieces", row);
    }
    for batch in list(&expected["batches"]) {
        let date = batch["service_date"].as_str().context("a date")?;
        push(&mut answers, date, "batches", answer_batch(batch));
    }
    for need in list(&expected["needs"]) {
        let load = need["load"].as_str().and_then(|load| load.rsplit_once(" for "));
        let (used_in, date) = load.context("a load")?;
        let row = json!({"at": need["t"], "item": need["item"], "for": used_in,
            "amount": quantity(&need["qty"])});
        push(&mut answers, date, "needs", row);
    }
    Ok(answers)
}

fn push(answers: &mut Answers, date: &str, key: &str, row: Value) {
    let answer = answers.entry(date.to_owned()).or_insert_with(|| json!({}));
    let rows = answer.as_object_mut().map(|answer| answer.entry(key).or_insert(json!([])));
    if let Some(rows) = rows.and_then(Value::as_array_mut) {
        rows.push(row);
    }
}

fn answer_batch(batch: &Value) -> Value {
    let mut answer = Map::new();
    for (key, name) in [
        ("formula", "formula"),
        ("made_at", "made_at"),
        ("mixer", "mixer"),
        ("loads", "loads"),
        ("under_minimum", "under_minimum"),
        ("blocks", "blocks"),
        ("options", "options"),
    ] {
        answer.insert(name.into(), batch[key].clone());
    }
    for (key, name) in [
        ("net", "net"),
        ("gross_exact", "gross"),
        ("keep_back_exact", "keep_back"),
        ("aged_dough_credit_g", "aged_dough_credit"),
        ("total_mix_exact", "mix_mass"),
        ("residue_per_load", "residue_per_load"),
    ] {
        answer.insert(name.into(), quantity(&batch[key]));
    }
    let asked = list(&batch["asked"])
        .map(|row| json!({"by": row["by"], "amount": quantity(&row["g_or_batches"])}));
    answer.insert("asked".into(), asked.collect());
    answer.insert("load_groups".into(), list(&batch["load_groups"]).map(group).collect());
    let issues = list(&batch["issue_totals"]).map(|row| {
        let mut issue = quantity(&row["issue"]);
        issue["unit"] = row["unit"].clone();
        json!({"item": row["item"], "issue": issue, "count": row["count"]})
    });
    answer.insert("issue_totals".into(), issues.collect());
    let pieces = list(&batch["pieces_per_load"]).map(|row| {
        let pieces = entries(
            &row["pieces"],
            |product, pieces| json!({"product": product, "pieces": pieces}),
        );
        json!({"load": row["load"], "pieces": pieces, "mass": quantity(&row["mass_g"])})
    });
    answer.insert("pieces_per_load".into(), pieces.collect());
    Value::Object(answer)
}

fn group(group: &Value) -> Value {
    let lines = list(&group["lines"]).map(|line| {
        json!({"item": line["item"], "exact": quantity(&line["exact"]),
            "weigh": quantity(&line["weigh"]), "scale": line["scale"], "state": line["state"],
            "weighings": list(&line["weighings"]).map(quantity).collect::<Value>()})
    });
    json!({"loads": group["loads"], "units": group["units_each"],
        "mix_mass": quantity(&group["mix_exact"]), "weighed": quantity(&group["weighed_sum"]),
        "nudges": group["nudges"], "within_quarter_percent": group["within_quarter_percent"],
        "hydration_moved": group["hydration_moved"], "lines": lines.collect::<Value>()})
}

/// Compares the sections of a horizon; `Err` if a section cannot even be read.
fn compare(scenario: &Scenario, expected: &Value, answers: &Answers) -> Result<Tally> {
    let mut tally = Tally::default();
    pieces::pieces(&expected["pieces"], scenario, answers, &mut tally)?;
    batches::batches(&expected["batches"], scenario, answers, &mut tally)?;
    pieces::needs(&expected["needs"], scenario, answers, &mut tally)?;
    pieces::need_totals(&expected["need_totals"], scenario, answers, &mut tally)?;
    Ok(tally)
}

/// The places of all figures, words and flags below a value.
fn places(value: &Value, place: &str, found: &mut Vec<String>) {
    match value {
        Value::Object(map) if map.contains_key("frac") => found.push(format!("{place}/frac")),
        Value::Object(map) => {
            for (key, value) in map {
                places(value, &format!("{place}/{key}"), found);
            }
        }
        Value::Array(elements) => {
            for (number, value) in elements.iter().enumerate() {
                places(value, &format!("{place}/{number}"), found);
            }
        }
        Value::Null => {}
        _ => found.push(place.to_owned()),
    }
}

/// The same kind of value, but another one.
fn changed(value: &Value) -> Value {
    match value {
        Value::Bool(flag) => json!(!flag),
        Value::Number(number) => json!(number.as_i64().unwrap_or(0) + 1),
        Value::String(text) => match exact::parse(text) {
            Ok(number) => json!((number + exact::whole(1)).to_string()),
            Err(_) => json!(format!("{text}-other")),
        },
        other => other.clone(),
    }
}

#[test]
fn no_figure_can_change_unnoticed() -> Result<()> {
    let (scenario, expected) = pair("random-8")?;
    let answers = answers(&expected)?;
    let tally = compare(&scenario, &expected, &answers)?;
    assert!(!tally.failed(), "the expected figures differ from themselves\n{tally}");
    let mut found = Vec::new();
    for section in ["pieces", "batches", "needs", "need_totals"] {
        places(&expected[section], &format!("/{section}"), &mut found);
    }
    assert!(found.len() > 300, "only {} figures were found", found.len());
    let mut unnoticed = Vec::new();
    for place in found {
        let mut other = expected.clone();
        let value = other.pointer_mut(&place).context("the place exists")?;
        *value = changed(value);
        // A changed name that nothing defines cannot be read at all: noticed as well.
        if compare(&scenario, &other, &answers).is_ok_and(|tally| !tally.failed()) {
            unnoticed.push(place);
        }
    }
    assert!(unnoticed.is_empty(), "nothing compares {unnoticed:?}");
    Ok(())
}
