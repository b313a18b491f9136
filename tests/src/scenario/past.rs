//! Loads that were made before a horizon's book, as `POST /v1/past-loads` takes them.
//!
//! No scenario that was seen so far has one: each part is looked for under several names.

use super::{Reading, amount::quantity};
use crate::{exact, row::Row};
use anyhow::{Context, Result, bail};
use num_rational::BigRational;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// What lots and loads are of, by their names in the scenario.
#[derive(Debug, Default)]
pub struct Names {
    lots: BTreeMap<String, String>,
    loads: BTreeMap<String, String>,
}

const LOAD: [&str; 5] = ["load", "id", "name", "batch", "product_lot"];
const MAKES: [&str; 5] = ["formula", "makes", "product", "item", "dough"];
const QUANTITY: [&str; 6] = ["quantity", "qty", "mass", "amount", "pieces", "mass_g"];

fn text<'a>(row: &mut Row<'a>, keys: &[&'static str]) -> Option<&'a str> {
    row.any(keys).and_then(Value::as_str)
}

impl Names {
    /// The names of a horizon's lots and loads of the past.
    pub fn new(lots: &[Value], loads: &[Value]) -> Self {
        let name = |value: &Value, keys: &[&str]| {
            keys.iter().find_map(|key| value[*key].as_str()).map(str::to_owned)
        };
        let pairs = |values: &[Value], names: &[&str], of: &[&str]| {
            let pair = |value: &Value| Some((name(value, names)?, name(value, of)?));
            values.iter().filter_map(pair).collect()
        };
        Self { lots: pairs(lots, &["lot", "id"], &["item"]), loads: pairs(loads, &LOAD, &MAKES) }
    }
}

/// One load of the past as a body.
pub fn past_load(value: &Value, names: &Names, reading: &mut Reading) -> Result<Value> {
    let mut row = Row::new(value, "a load of the past")?;
    let name = text(&mut row, &LOAD).context("a load of the past has no name")?;
    let formula = text(&mut row, &MAKES).context("a load of the past makes nothing")?;
    let times = ["made_at", "at", "mixed_at", "made", "mixed", "baked", "time", "date"];
    let made_at = text(&mut row, &times).context("a load of the past: made when?")?;
    let made_at = match made_at.len() {
        10 => format!("{made_at}T00:00:00Z"),
        _ => made_at.to_owned(),
    };
    let inputs = row.any(&["inputs", "took", "uses", "used", "lines", "ingredients", "lots"]);
    let mut took = Vec::new();
    for value in listed(inputs, "lot")? {
        took.push(input(&value, names, reading)?);
    }
    let output = row.any(&["output", "gave", "outputs", "mass", "quantity", "mass_g", "pieces"]);
    let lot = text(&mut row, &["lot", "output_lot", "made_lot"]).map(str::to_owned);
    let gave = match output {
        Some(Value::Array(outputs)) => {
            outputs.iter().map(|value| given(value, reading)).collect::<Result<Vec<_>>>()?
        }
        Some(value) => vec![json!({"quantity": mass(value, reading)?})],
        None => vec![json!({"quantity": sum(&took)?})],
    };
    let mut gave = gave;
    if let (Some(first), Some(lot)) = (gave.first_mut(), lot) {
        first["lot"] = json!(lot);
    }
    let drops = row.any(&["drops", "sent", "deliveries", "customers", "by_customer", "to"]);
    let mut sent = Vec::new();
    for value in listed(drops, "customer")? {
        sent.push(drop(&value, formula, reading)?);
    }
    row.finish()?;
    Ok(json!({"load": name, "formula": reading.codes.code(formula), "made_at": made_at,
        "took": took, "gave": gave, "sent": sent}))
}

/// The elements of a list, or of a table from a name to a quantity.
fn listed(value: Option<&Value>, key: &str) -> Result<Vec<Value>> {
    match value {
        None => Ok(Vec::new()),
        Some(Value::Array(elements)) => Ok(elements.clone()),
        Some(Value::Object(table)) => {
            Ok(table.iter().map(|(name, amount)| json!({key: name, "quantity": amount})).collect())
        }
        Some(other) => bail!("neither a list nor a table: {other}"),
    }
}

fn input(value: &Value, names: &Names, reading: &mut Reading) -> Result<Value> {
    let mut row = Row::new(value, "what a load of the past took")?;
    let item = text(&mut row, &["item", "ingredient", "formula", "product"]);
    let lot = text(&mut row, &["lot", "lot_id"]);
    let load = text(&mut row, &["load", "from_load", "from", "batch", "product_lot"]);
    let amount = row.any(&QUANTITY).context("a load of the past took how much?")?;
    row.finish()?;
    // A name under `lot` may be that of a load: a made lot is its load.
    let (lot, load) = match lot {
        Some(name) if load.is_none() && names.loads.contains_key(name) => (None, Some(name)),
        lot => (lot, load),
    };
    let of = |name: &str| names.lots.get(name).or_else(|| names.loads.get(name));
    let item = item.or_else(|| of(lot.or(load)?).map(String::as_str));
    let item = item.with_context(|| format!("a load of the past took what? {value}"))?;
    let mut wire = Map::new();
    wire.insert("item".into(), json!(reading.codes.code(item)));
    wire.insert("quantity".into(), mass(amount, reading)?);
    match (lot, load) {
        (_, Some(load)) => wire.insert("load".into(), json!(load)),
        (Some(lot), None) => wire.insert("lot".into(), json!(lot)),
        (None, None) => None,
    };
    Ok(Value::Object(wire))
}

fn given(value: &Value, reading: &mut Reading) -> Result<Value> {
    let mut row = Row::new(value, "what a load of the past gave")?;
    let mut wire = Map::new();
    if let Some(item) = text(&mut row, &["item", "product", "formula"]) {
        wire.insert("item".into(), json!(reading.codes.code(item)));
    }
    if let Some(lot) = text(&mut row, &["lot", "name", "id", "product_lot"]) {
        wire.insert("lot".into(), json!(lot));
    }
    let amount = row.any(&QUANTITY).context("a load of the past gave how much?")?;
    wire.insert("quantity".into(), mass(amount, reading)?);
    row.finish()?;
    Ok(Value::Object(wire))
}

fn drop(value: &Value, formula: &str, reading: &mut Reading) -> Result<Value> {
    let mut row = Row::new(value, "what of a load of the past was sent")?;
    let product = text(&mut row, &["product", "item"]).unwrap_or(formula);
    let customer = row.need_text("customer")?;
    let mut wire = Map::new();
    wire.insert("product".into(), json!(reading.codes.code(product)));
    wire.insert("customer".into(), json!(reading.codes.code(customer)));
    if let Some(date) = text(&mut row, &["service_date", "date"]) {
        wire.insert("service_date".into(), json!(date));
    }
    if let Some(time) = text(&mut row, &["drop", "time"]) {
        wire.insert("drop".into(), json!(time));
    }
    if let Some(lot) = text(&mut row, &["lot", "product_lot"]) {
        wire.insert("lot".into(), json!(lot));
    }
    let amount = row.any(&QUANTITY).context("how much was sent?")?;
    wire.insert("quantity".into(), pieces(amount, reading)?);
    row.finish()?;
    Ok(Value::Object(wire))
}

/// A quantity; a number without a unit is in grams.
fn mass(value: &Value, reading: &mut Reading) -> Result<Value> {
    plain(value, "g", reading)
}

/// A quantity; a number without a unit is of pieces.
fn pieces(value: &Value, reading: &mut Reading) -> Result<Value> {
    plain(value, "each", reading)
}

fn plain(value: &Value, unit: &str, reading: &mut Reading) -> Result<Value> {
    match value.as_str() {
        Some(text) if text.trim().contains(' ') => quantity(value, &mut reading.rounded),
        Some(text) => Ok(json!({"amount": text, "unit": unit})),
        None => Ok(json!({"amount": value.to_string(), "unit": unit})),
    }
}

/// What went in together, in grams.
fn sum(took: &[Value]) -> Result<Value> {
    let mut all = BigRational::from_integer(0.into());
    for one in took.iter().filter(|one| one["quantity"]["unit"] == "g") {
        all += exact::parse(one["quantity"]["amount"].as_str().context("an amount")?)?;
    }
    Ok(json!({"amount": exact::decimal(&all, 6), "unit": "g"}))
}
