//! Products of a scenario.

use super::{
    Reading,
    amount::{Amount, amount, percent, quantity},
    moment,
};
use crate::{exact, row::Row};
use anyhow::{Context, Result, bail};
use serde_json::{Map, Value, json};

pub(super) fn products(values: &[Value], reading: &mut Reading) -> Result<Vec<Value>> {
    let mut products = Vec::new();
    for value in values {
        let mut row = Row::new(value, "a product")?;
        let id = row.need_text("id")?;
        let wire = product(&mut row, id, reading).with_context(|| format!("product {id}"))?;
        row.finish()?;
        products.push(Value::Object(wire));
    }
    Ok(products)
}

fn product(row: &mut Row, id: &str, reading: &mut Reading) -> Result<Map<String, Value>> {
    let mut wire = Map::new();
    wire.insert("code".into(), json!(reading.codes.code(id)));
    if let Some(Value::String(name)) = row.any(&["name", "called"]) {
        wire.insert("name".into(), json!(name));
    }
    for key in ["dough", "route"] {
        if let Some(code) = row.text(key)? {
            wire.insert(key.into(), json!(reading.codes.code(code)));
        }
    }
    let reject = row.get("reject").map(|rate| percent(rate, &mut reading.rounded)).transpose()?;
    wire.insert("reject".into(), json!(reject.unwrap_or_else(|| "0".to_owned())));
    for key in ["test_pieces", "sale_pack"] {
        if let Some(pieces) = row.whole(key)? {
            wire.insert(key.into(), json!(pieces));
        }
    }
    if let Some(policy) = row.get("overs") {
        wire.insert("overs".into(), overs(policy)?);
    }
    if let Some(value) = row.get("tray") {
        let mut row = Row::new(value, "a tray")?;
        let mut tray = Map::new();
        let pieces = row.whole("pieces")?.context("a tray has no pieces")?;
        tray.insert("pieces".into(), json!(pieces));
        if let Some(group) = row.text("group")? {
            tray.insert("group".into(), json!(group));
        }
        row.finish()?;
        wire.insert("tray".into(), Value::Object(tray));
    }
    // Said for the reader: the make-up gives the raw weight.
    row.text("bakes_to")?;
    let lines = row.list("make_up")?.iter().map(|line| make_up(line, reading));
    wire.insert("make_up".into(), json!(lines.collect::<Result<Vec<_>>>()?));
    Ok(wire)
}

fn overs(value: &Value) -> Result<Value> {
    let mut row = Row::new(value, "overs")?;
    let mut wire = Map::new();
    wire.insert("policy".into(), json!(row.need_text("policy")?));
    for key in ["multiple", "pieces"] {
        if let Some(pieces) = row.whole(key)? {
            wire.insert(key.into(), json!(pieces));
        }
    }
    row.finish()?;
    Ok(Value::Object(wire))
}

fn make_up(value: &Value, reading: &mut Reading) -> Result<Value> {
    let mut row = Row::new(value, "a make-up line")?;
    let mut wire = Map::new();
    let amount = row.any(&["qty", "quantity", "pieces"]);
    if let Some(product) = row.text("product")? {
        wire.insert("product".into(), json!(reading.codes.code(product)));
        wire.insert("pieces".into(), json!(amount.map_or(Ok(1), pieces)?));
        wire.insert("day_offset".into(), json!(row.whole("day_offset")?.unwrap_or(0)));
        row.finish()?;
        return Ok(Value::Object(wire));
    }
    let item = row.need_text("item")?;
    wire.insert("item".into(), json!(reading.codes.code(item)));
    let amount = amount.with_context(|| format!("the make-up line of {item} has no qty"))?;
    wire.insert("quantity".into(), quantity(amount, &mut reading.rounded)?);
    if let Some(per) = row.text("per")? {
        wire.insert("per".into(), json!(per));
    }
    if let Some(flag) = row.flag("included")? {
        wire.insert("included".into(), json!(flag));
    }
    match row.get("at") {
        Some(at) => {
            wire.insert("at".into(), moment(at, "at", reading)?);
        }
        // A formula is made at its own time; anything else without a time is used when
        // the service date's work starts, which the model takes to be 04:00.
        None if !reading.formulas.contains(item) => {
            wire.insert("at".into(), json!({"day": 0, "time": "04:00"}));
        }
        None => {}
    }
    row.finish()?;
    Ok(Value::Object(wire))
}

/// Pieces of a product used in another, as a number or as "1 each".
fn pieces(value: &Value) -> Result<i64> {
    if let Some(pieces) = value.as_i64() {
        return Ok(pieces);
    }
    let text = value.as_str().with_context(|| format!("{value} is not a number of pieces"))?;
    let Amount { value, unit } = amount(text)?;
    if unit != "each" || !value.is_integer() {
        bail!("`{text}` is not a whole number of pieces");
    }
    Ok(exact::decimal(&value, 0).parse()?)
}
