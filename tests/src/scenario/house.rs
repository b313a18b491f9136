//! The house of a scenario: site, people, equipment, suppliers and routes.

use super::{
    Reading,
    amount::{duration, quantity},
    moment, texts, window,
};
use crate::row::Row;
use anyhow::{Context, Result, bail};
use serde_json::{Map, Value, json};

pub(super) fn site(value: &Value, id: &str, reading: &mut Reading) -> Result<Value> {
    let mut row = Row::new(value, "site")?;
    reading.currency = currency(row.need("currency")?)?;
    row.need_text("time_zone")?.clone_into(&mut reading.zone);
    let mut teams = Vec::new();
    for (team, hours) in row.table("staff")? {
        let [from, to] = pair(hours, "staff hours")?;
        teams.push(json!({"code": reading.codes.code(team), "from": from, "to": to}));
    }
    let weekdays = weekdays(row.list("open_weekdays")?, "open_weekdays")?;
    let site = json!({
        "code": reading.codes.code(id),
        "name": row.text("name")?.unwrap_or(id),
        "time_zone": reading.zone,
        "currency": reading.currency,
        "open_weekdays": weekdays,
        "closed_dates": row.list("closed_dates")?,
        "teams": teams,
    });
    row.finish()?;
    Ok(site)
}

/// The letters of a currency given as text or as an object with its number of digits.
fn currency(value: &Value) -> Result<String> {
    if let Value::String(letters) = value {
        return Ok(letters.clone());
    }
    let mut row = Row::new(value, "currency")?;
    let letters = row.need_text("code")?.to_owned();
    // Money is sent in minor units, so the number of digits changes nothing.
    row.whole("minor_digits")?;
    row.finish()?;
    Ok(letters)
}

fn pair<'a>(value: &'a Value, place: &str) -> Result<[&'a str; 2]> {
    // One stretch of hours may stand in a list of its own.
    let value = match value.as_array().map(Vec::as_slice) {
        Some([only @ Value::Array(_)]) => only,
        _ => value,
    };
    let ends = value.as_array().map(|ends| texts(ends, place)).transpose()?;
    match ends.as_deref() {
        Some(&[from, to]) => Ok([from, to]),
        _ => bail!("{place} is not a pair of times: {value}"),
    }
}

fn weekdays(values: &[Value], place: &str) -> Result<Vec<String>> {
    Ok(texts(values, place)?.into_iter().map(str::to_lowercase).collect())
}

pub(super) fn customers(values: &[Value], reading: &mut Reading) -> Result<Vec<Value>> {
    let mut customers = Vec::new();
    for value in values {
        let mut row = Row::new(value, "a customer")?;
        let mut wire = Map::new();
        wire.insert("code".into(), json!(reading.codes.code(row.need_text("id")?)));
        if let Some(name) = row.text("name")? {
            wire.insert("name".into(), json!(name));
        }
        wire.insert("tier".into(), json!(row.whole("tier")?.unwrap_or(1)));
        if let Some(cutoff) = row.get("cutoff") {
            wire.insert("cutoff".into(), moment(cutoff, "a cutoff", reading)?);
        }
        if let Some(least) = row.whole("minimum_useful")? {
            wire.insert("minimum_useful".into(), json!(least));
        }
        if let Some(flag) = row.flag("all_or_nothing")? {
            wire.insert("all_or_nothing".into(), json!(flag));
        }
        reading.skip("pack multiple of a customer", row.any(&["pack", "pack_multiple"]));
        row.finish()?;
        customers.push(Value::Object(wire));
    }
    Ok(customers)
}

pub(super) fn scales(values: &[Value], reading: &mut Reading) -> Result<Vec<Value>> {
    let mut scales = Vec::new();
    for value in values {
        let mut row = Row::new(value, "a scale")?;
        scales.push(json!({
            "code": reading.codes.code(row.need_text("id")?),
            "capacity": quantity(row.need("capacity")?, &mut reading.rounded)?,
            "division": quantity(row.need("division")?, &mut reading.rounded)?,
            "from": quantity(row.need("from")?, &mut reading.rounded)?,
        }));
        reading.skip("tare of a scale", row.get("tare"));
        row.finish()?;
    }
    Ok(scales)
}

pub(super) fn mixers(values: &[Value], reading: &mut Reading) -> Result<Vec<Value>> {
    let mut mixers = Vec::new();
    for value in values {
        let mut row = Row::new(value, "a mixer")?;
        let mut wire = Map::new();
        wire.insert("code".into(), json!(reading.codes.code(row.need_text("id")?)));
        let least = row.get("min").map(|min| quantity(min, &mut reading.rounded)).transpose()?;
        wire.insert("minimum".into(), least.unwrap_or(json!({"amount": "0", "unit": "g"})));
        if let Some(residue) = row.get("residue") {
            wire.insert("residue".into(), quantity(residue, &mut reading.rounded)?);
        }
        let mut maximum = Vec::new();
        for (class, most) in row.table("max")? {
            maximum.push(json!({
                "dough_class": class,
                "mass": quantity(most, &mut reading.rounded)?,
            }));
        }
        wire.insert("maximum".into(), json!(maximum));
        row.finish()?;
        mixers.push(Value::Object(wire));
    }
    Ok(mixers)
}

pub(super) fn ovens(decks: Vec<(&str, &Value)>, reading: &mut Reading) -> Result<Vec<Value>> {
    let mut ovens = Vec::new();
    for (name, value) in decks {
        match value.get("trays").and_then(Value::as_i64) {
            Some(trays) => ovens.push(json!({"code": reading.codes.code(name), "trays": trays})),
            // A deck that holds pieces of some sizes: bake sheets come later.
            None => reading.skip("oven deck by pieces", Some(value)),
        }
    }
    Ok(ovens)
}

pub(super) fn suppliers(values: &[Value], reading: &mut Reading) -> Result<Vec<Value>> {
    let mut suppliers = Vec::new();
    for value in values {
        let mut row = Row::new(value, "a supplier")?;
        let mut wire = Map::new();
        wire.insert("code".into(), json!(reading.codes.code(row.need_text("id")?)));
        for key in ["name", "time_zone", "delivery_on_holiday"] {
            if let Some(text) = row.text(key)? {
                wire.insert(key.into(), json!(text));
            }
        }
        wire.insert("holidays".into(), json!(row.list("holidays")?));
        let days = row.list("working_days")?;
        if !days.is_empty() {
            wire.insert("working_days".into(), json!(weekdays(days, "working_days")?));
        }
        let least = row.whole("minimum_minor")?.unwrap_or(0);
        wire.insert("minimum_order".into(), reading.money(least));
        let below = row.text("below")?.unwrap_or("carriage");
        wire.insert("below_minimum".into(), json!(below));
        let carriage = row.whole("carriage_minor")?.unwrap_or(0);
        wire.insert("carriage".into(), reading.money(carriage));
        wire.insert("deliveries".into(), deliveries(row.list("table")?)?);
        row.finish()?;
        suppliers.push(Value::Object(wire));
    }
    Ok(suppliers)
}

fn deliveries(values: &[Value]) -> Result<Value> {
    let mut deliveries = Vec::new();
    for value in values {
        let mut row = Row::new(value, "a delivery of a supplier")?;
        let [from, to] = pair(row.need("window")?, "a delivery window")?;
        deliveries.push(json!({
            "order_day": row.need_text("order_day")?.to_lowercase(),
            "cutoff": row.need_text("cutoff")?,
            "delivery_day": row.need_text("delivery_day")?.to_lowercase(),
            "window_from": from,
            "window_to": to,
        }));
        row.finish()?;
    }
    Ok(json!(deliveries))
}

pub(super) fn routes(values: &[Value], reading: &mut Reading) -> Result<Vec<Value>> {
    let mut routes = Vec::new();
    for value in values {
        let mut row = Row::new(value, "a route")?;
        let code = reading.codes.code(row.need_text("id")?);
        let steps = row
            .list("steps")?
            .iter()
            .map(|value| step(value, reading).with_context(|| format!("route {code}")))
            .collect::<Result<Vec<_>>>()?;
        let mut limits = Vec::new();
        for value in row.list("limits")? {
            let mut limit = Row::new(value, "a limit of a route")?;
            let most = limit.any(&["max", "most"]).context("a limit of a route has no max")?;
            limits.push(json!({"steps": limit.list("steps")?, "most": duration(most)?}));
            limit.finish()?;
        }
        row.finish()?;
        routes.push(json!({"code": code, "steps": steps, "limits": limits}));
    }
    Ok(routes)
}

fn step(value: &Value, reading: &mut Reading) -> Result<Value> {
    let mut row = Row::new(value, "a step")?;
    let mut wire = Map::new();
    wire.insert("step".into(), json!(row.need_text("step")?));
    for key in ["minutes", "per_load", "between"] {
        if let Some(minutes) = row.whole(key)? {
            wire.insert(key.into(), json!(minutes));
        }
    }
    if let Some(ends) = row.get("window") {
        wire.insert("window".into(), window(ends, "the window of a step")?);
    }
    for (key, name) in [("staff", "team"), ("start_staff", "start_team")] {
        if let Some(team) = row.text(key)? {
            wire.insert(name.into(), json!(reading.codes.code(team)));
        }
    }
    row.finish()?;
    Ok(Value::Object(wire))
}
