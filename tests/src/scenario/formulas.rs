//! Formulas of a scenario.

use super::{
    Reading,
    amount::{PARTS_DECIMALS, amount, duration, percent, quantity},
    moment, window,
};
use crate::{
    exact,
    row::{self, Row},
};
use anyhow::{Context, Result, bail};
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One, Zero};
use serde_json::{Map, Value, json};

pub(super) fn formulas(values: &[Value], reading: &mut Reading) -> Result<Vec<Value>> {
    let mut formulas = Vec::new();
    for value in values {
        let mut row = Row::new(value, "a formula")?;
        let id = row.need_text("id")?;
        let wire = formula(&mut row, id, reading).with_context(|| format!("formula {id}"))?;
        row.finish()?;
        formulas.push(Value::Object(wire));
    }
    Ok(formulas)
}

fn formula(row: &mut Row, id: &str, reading: &mut Reading) -> Result<Map<String, Value>> {
    let mut wire = Map::new();
    wire.insert("code".into(), json!(reading.codes.code(id)));
    if let Some(Value::String(name)) = row.any(&["name", "called"]) {
        wire.insert("name".into(), json!(name));
    }
    let checked = row.flag("bakers_percent")?.unwrap_or(false);
    match row.text("driver")?.unwrap_or("mass") {
        "mass" if checked => {
            wire.insert("base".into(), json!("percent_of_flour"));
            wire.insert("view".into(), json!(row.text("view")?.unwrap_or("final_mix")));
        }
        "mass" => {
            wire.insert("base".into(), json!("parts"));
        }
        "blocks" => {
            wire.insert("base".into(), json!("blocks"));
            wire.insert("blocks".into(), blocks(row, reading)?);
        }
        "batch" => per_batch(row, &mut wire, reading)?,
        other => bail!("unknown driver `{other}`"),
    }
    wire.insert("lines".into(), lines(row.list("lines")?, checked, reading)?);
    if let Some(class) = row.text("class")? {
        wire.insert("dough_class".into(), json!(class));
    }
    if let Some(mixer) = row.text("mixer")? {
        wire.insert("mixer".into(), json!(reading.codes.code(mixer)));
    }
    wire.insert("losses".into(), losses(row.list("losses")?, reading)?);
    if let Some(made) = row.get("made") {
        wire.insert("made".into(), moment(made, "made", reading)?);
    }
    ages(row, &mut wire, reading)?;
    if let Some(flag) = row.flag("soaker")? {
        wire.insert("soaker".into(), json!(flag));
    }
    Ok(wire)
}

/// Keep-back, age windows and lives.
fn ages(row: &mut Row, wire: &mut Map<String, Value>, reading: &mut Reading) -> Result<()> {
    if let Some(value) = row.get("keep_back") {
        let mut row = Row::new(value, "keep_back")?;
        // The kind says in words what the wire means by keeping back at all.
        row.text("kind")?;
        let last = row.get("after_last").map(|last| quantity(last, &mut reading.rounded));
        let last = last.transpose()?.unwrap_or(json!({"amount": "0", "unit": "g"}));
        row.finish()?;
        wire.insert("keep_back".into(), json!({"after_last": last}));
    }
    // Two names for one thing: how old it must be, and may be, when it is used.
    if let Some(ends) = row.any(&["age_window", "window_after_feed"]) {
        wire.insert("age_window".into(), window(ends, "age_window")?);
    }
    if let Some(divide) = row.get("divide") {
        wire.insert("divide".into(), moment(divide, "divide", reading)?);
    }
    let seed = row.get("cold_seed_life");
    reading.skip("cold life of a seed", seed);
    if let Some(life) = row.get("life") {
        wire.insert("life".into(), duration(life)?);
    }
    Ok(())
}

fn blocks(row: &mut Row, reading: &mut Reading) -> Result<Value> {
    let step = row.any(&["block_step", "step"]).map(step).transpose()?;
    let step = step.unwrap_or_else(|| "1".to_owned());
    let step: i64 = step.parse().with_context(|| format!("a step of {step} blocks"))?;
    let ratio = row.need("ratio")?;
    Ok(json!({
        "base": reading.codes.code(row.need_text("base")?),
        "sheet": reading.codes.code(row.need_text("sheet")?),
        "sheet_mass": quantity(row.need("sheet_mass")?, &mut reading.rounded)?,
        "percent": percent(ratio, &mut reading.rounded)?,
        "step": step,
    }))
}

fn per_batch(row: &mut Row, wire: &mut Map<String, Value>, reading: &mut Reading) -> Result<()> {
    wire.insert("base".into(), json!("per_batch"));
    if let Some(made) = row.any(&["makes", "yield", "batch_mass"]) {
        wire.insert("makes".into(), quantity(made, &mut reading.rounded)?);
    }
    let step = row.any(&["step", "batch_step", "block_step"]).map(step).transpose()?;
    wire.insert("step".into(), json!(step.unwrap_or_else(|| "1".to_owned())));
    Ok(())
}

/// A step of batches or blocks, with or without its unit.
fn step(value: &Value) -> Result<String> {
    let number = match value.as_str().filter(|text| text.contains(' ')) {
        Some(text) => amount(text)?.value,
        None => row::number(value, "a step")?,
    };
    Ok(exact::decimal(&number, PARTS_DECIMALS))
}

fn losses(values: &[Value], reading: &mut Reading) -> Result<Value> {
    let mut losses = Vec::new();
    for value in values {
        let mut row = Row::new(value, "a loss")?;
        let rate = row.need("rate")?;
        let stage = row.text("stage")?.unwrap_or("loss");
        if !row::number(rate, "a rate")?.is_zero() {
            losses.push(json!({
                "stage": stage,
                "percent": percent(rate, &mut reading.rounded)?,
            }));
        }
        row.finish()?;
    }
    Ok(json!(losses))
}

fn lines(values: &[Value], checked: bool, reading: &mut Reading) -> Result<Value> {
    let factor = if checked { BigRational::one() } else { whole_parts(values)? };
    let mut lines = Vec::new();
    for value in values {
        let mut row = Row::new(value, "a line")?;
        let mut wire = Map::new();
        wire.insert("item".into(), json!(reading.codes.code(row.need_text("item")?)));
        if let Some(parts) = row.number("parts")? {
            let parts = parts * &factor;
            if !exact::ends_within(&parts, PARTS_DECIMALS) {
                reading.rounded.texts.push(value["parts"].to_string());
            }
            wire.insert("parts".into(), json!(exact::decimal(&parts, PARTS_DECIMALS)));
        }
        if let Some(plain) = row.any(&["qty", "quantity", "per_batch"]) {
            wire.insert("quantity".into(), quantity(plain, &mut reading.rounded)?);
        }
        for key in ["flour", "previous_batch", "in_bowl"] {
            if let Some(flag) = row.flag(key)? {
                wire.insert(key.into(), json!(flag));
            }
        }
        if let Some(rate) = row.get("precision") {
            wire.insert("precision".into(), json!(percent(rate, &mut reading.rounded)?));
        }
        row.finish()?;
        lines.push(Value::Object(wire));
    }
    Ok(json!(lines))
}

/// The factor that makes parts such as 1/3 end, so that they can be sent as decimals.
///
/// Parts by weight mean the same when all are multiplied alike.
fn whole_parts(values: &[Value]) -> Result<BigRational> {
    let mut factor = BigInt::one();
    for value in values {
        let Some(parts) = value.get("parts") else { continue };
        let parts = row::number(parts, "parts")?;
        if !exact::ends_within(&parts, PARTS_DECIMALS) {
            factor *= (parts * BigRational::from_integer(factor.clone())).denom();
        }
    }
    Ok(BigRational::from_integer(factor))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_that_never_end_are_multiplied_until_they_do() {
        let mut reading = Reading::default();
        let parts = json!([{"item": "a", "parts": "1/3"}, {"item": "b", "parts": "0.5"}]);
        let sent = lines(parts.as_array().expect("a list"), false, &mut reading).expect("lines");
        assert_eq!(sent, json!([{"item": "a", "parts": "1"}, {"item": "b", "parts": "1.5"}]));
        assert!(reading.rounded.texts.is_empty());
    }

    #[test]
    fn a_formula_by_the_pan_keeps_its_amounts() {
        let mut reading = Reading::default();
        let formula = json!([{"id": "Pan_cake", "driver": "batch", "step": "0.5",
            "made": {"day": -1, "time": "05:00"},
            "lines": [{"item": "egg", "qty": "3 each", "in_bowl": false, "precision": "0.005"}]}]);
        let sent = formulas(formula.as_array().expect("a list"), &mut reading).expect("formulas");
        assert_eq!(
            json!(sent),
            json!([{"code": "pan-cake", "base": "per_batch", "step": "0.5",
                "lines": [{"item": "egg", "quantity": {"amount": "3", "unit": "each"},
                    "in_bowl": false, "precision": "0.5"}],
                "losses": [], "made": {"day": -1, "time": "05:00"}}])
        );
    }

    #[test]
    fn an_unknown_key_of_a_formula_is_named() {
        let mut reading = Reading::default();
        let formula = json!([{"id": "a", "driver": "mass", "shape": "round", "lines": []}]);
        let failure = formulas(formula.as_array().expect("a list"), &mut reading);
        let failure = failure.expect_err("shape is unknown").to_string();
        assert!(failure.ends_with("nobody reads: shape"), "{failure}");
    }
}
