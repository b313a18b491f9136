//! Ingredients of a scenario, and what hangs on them: packs, fruit, substitutes, overheads.

use super::{
    Reading,
    amount::{Amount, amount, density, duration, percent, quantity},
    texts,
};
use crate::row::Row;
use anyhow::{Context, Result, bail};
use serde_json::{Map, Value, json};

pub(super) fn items(values: &[Value], reading: &mut Reading) -> Result<(Vec<Value>, Vec<Value>)> {
    let (mut items, mut packs) = (Vec::new(), Vec::new());
    for value in values {
        let mut row = Row::new(value, "an ingredient")?;
        let id = row.need_text("id")?;
        let place = || format!("ingredient {id}");
        items.push(item(&mut row, id, reading).with_context(place)?);
        match row.any(&["pack", "packs"]) {
            None => {}
            Some(Value::Array(several)) => {
                for one in several {
                    packs.push(pack(one, id, reading).with_context(place)?);
                }
            }
            Some(one) => packs.push(pack(one, id, reading).with_context(place)?),
        }
        if let Some(first) = packs.iter().find(|pack| pack["item"] == reading.codes.code(id)) {
            reading.packs.insert(id.to_owned(), first.clone());
        }
        row.finish()?;
    }
    Ok((items, packs))
}

fn item(row: &mut Row, id: &str, reading: &mut Reading) -> Result<Value> {
    let mut wire = Map::new();
    wire.insert("code".into(), json!(reading.codes.code(id)));
    if let Some(name) = row.text("name")? {
        wire.insert("name".into(), json!(name));
    }
    let made = reading.formulas.contains(id);
    wire.insert("kind".into(), json!(if made { "made" } else { "bought" }));
    wire.insert("base_unit".into(), json!(base_unit(row.text("unit")?.unwrap_or("g"))?));
    if let Some(kilograms) = row.get("density") {
        wire.insert("density".into(), json!(density(kilograms, &mut reading.rounded)?));
    }
    for key in ["each", "safety_stock"] {
        if let Some(mass) = row.get(key) {
            wire.insert(key.into(), quantity(mass, &mut reading.rounded)?);
        }
    }
    // A scenario's list of allergens was read unless it says otherwise.
    let known = row.flag("allergens_known")?.unwrap_or(true);
    wire.insert("allergens_known".into(), json!(known));
    for key in ["stocked", "water", "salt", "short_life"] {
        if let Some(flag) = row.flag(key)? {
            wire.insert(key.into(), json!(flag));
        }
    }
    if let Some(free) = row.flag("price_free")? {
        wire.insert("free".into(), json!(free));
    }
    for key in ["contains", "may_contain"] {
        wire.insert(key.into(), json!(row.list(key)?));
    }
    for key in ["opened_life", "ready_after"] {
        if let Some(length) = row.get(key) {
            wire.insert(key.into(), duration(length)?);
        }
    }
    if let Some(rate) = row.get("weighing_loss") {
        wire.insert("weighing_loss".into(), json!(percent(rate, &mut reading.rounded)?));
    }
    if let Some(supply) = row.text("supply")? {
        wire.insert("supply".into(), json!(supply));
    }
    Ok(Value::Object(wire))
}

fn base_unit(unit: &str) -> Result<&'static str> {
    Ok(match unit {
        "g" | "kg" | "mg" | "lb" | "oz" => "g",
        "mL" | "L" | "gal" | "qt" => "mL",
        "each" => "each",
        other => bail!("unknown unit `{other}`"),
    })
}

fn pack(value: &Value, item: &str, reading: &mut Reading) -> Result<Value> {
    let mut row = Row::new(value, "a pack")?;
    let mut wire = Map::new();
    let holds = row.need("holds")?;
    let name = format!("{item} {}", holds.as_str().unwrap_or("pack"));
    wire.insert("code".into(), json!(reading.codes.code(&name)));
    wire.insert("item".into(), json!(reading.codes.code(item)));
    if let Some(supplier) = row.text("supplier")? {
        wire.insert("supplier".into(), json!(reading.codes.code(supplier)));
    }
    wire.insert("holds".into(), quantity(holds, &mut reading.rounded)?);
    for key in ["inner", "price_per"] {
        if let Some(amount) = row.get(key) {
            wire.insert(key.into(), quantity(amount, &mut reading.rounded)?);
        }
    }
    if let Some(price) = row.whole("price_minor")? {
        wire.insert("price".into(), reading.money(price));
    }
    let mut breaks = Vec::new();
    for value in row.list("breaks")? {
        let mut step = Row::new(value, "a price break")?;
        let from = step.whole("from_packs")?.context("a price break has no from_packs")?;
        let price = step.whole("price_minor")?.context("a price break has no price_minor")?;
        breaks.push(json!({"from_packs": from, "price": reading.money(price)}));
        step.finish()?;
    }
    if !breaks.is_empty() {
        wire.insert("breaks".into(), json!(breaks));
    }
    if let Some(life) = row.get("min_life") {
        wire.insert("minimum_life".into(), duration(life)?);
    }
    if let Some(band) = row.get("catch_weight") {
        let mut row = Row::new(band, "a catch-weight band")?;
        let low = quantity(row.need("low")?, &mut reading.rounded)?;
        let high = quantity(row.need("high")?, &mut reading.rounded)?;
        row.finish()?;
        wire.insert("catch_weight".into(), json!({"low": low, "high": high}));
    }
    row.finish()?;
    Ok(Value::Object(wire))
}

/// Puts each fruit's yields on its item and adds the items that come out of it.
pub(super) fn joint_fruits(
    values: &[Value],
    items: &mut Vec<Value>,
    reading: &mut Reading,
) -> Result<()> {
    for value in values {
        let mut row = Row::new(value, "a joint fruit")?;
        let fruit = reading.codes.code(row.need_text("fruit")?);
        let mut outputs = Vec::new();
        for (output, value) in row.table("outputs")? {
            let mut row = Row::new(value, "an output of a fruit")?;
            let gives = row.need("yield")?;
            let unit = match amount(gives.as_str().unwrap_or_default())? {
                Amount { unit: unit @ ("g" | "mL" | "each"), .. } => unit,
                other => bail!("the yield of {output} is in {}", other.unit),
            };
            let code = reading.codes.code(output);
            let mut wire = Map::new();
            wire.insert("item".into(), json!(code));
            wire.insert("yield".into(), quantity(gives, &mut reading.rounded)?);
            if let Some(share) = row.get("cost_share") {
                wire.insert("cost_share".into(), json!(percent(share, &mut reading.rounded)?));
            }
            row.finish()?;
            outputs.push(Value::Object(wire));
            if !items.iter().any(|item| item["code"] == code.as_str()) {
                items.push(json!({"code": code, "kind": "made", "base_unit": unit}));
            }
        }
        let joint = json!({
            "first": reading.codes.code(row.need_text("first")?),
            "keep": duration(row.need("keep")?)?,
            "surplus_keeps": row.flag("surplus_keeps")?.unwrap_or(false),
            "outputs": outputs,
        });
        row.finish()?;
        let item = items.iter_mut().find(|item| item["code"] == fruit.as_str());
        let item = item.and_then(Value::as_object_mut);
        let item = item.with_context(|| format!("the fruit {fruit} is no ingredient"))?;
        item.insert("joint".into(), joint);
    }
    Ok(())
}

pub(super) fn substitutes(values: &[Value], reading: &mut Reading) -> Result<Vec<Value>> {
    let mut substitutes = Vec::new();
    for value in values {
        let mut row = Row::new(value, "a substitute")?;
        let from = row.need_text("from")?;
        let mut uses = Vec::new();
        let mut name = format!("instead of {from}");
        for value in row.list("use")? {
            let mut row = Row::new(value, "what a substitute uses")?;
            let item = row.need_text("item")?;
            let amount = row.any(&["qty", "quantity"]).context("a substitute has no qty")?;
            uses.push(json!({
                "item": reading.codes.code(item),
                "quantity": quantity(amount, &mut reading.rounded)?,
            }));
            row.finish()?;
            name = format!("{name} {item}");
        }
        let mut wire = Map::new();
        wire.insert("code".into(), json!(reading.codes.code(&name)));
        wire.insert("item".into(), json!(reading.codes.code(from)));
        wire.insert("per".into(), quantity(row.need("per")?, &mut reading.rounded)?);
        wire.insert("use".into(), json!(uses));
        for key in ["approved", "label_change", "sign_off"] {
            if let Some(flag) = row.flag(key)? {
                wire.insert(key.into(), json!(flag));
            }
        }
        let only_in = texts(row.list("only_in")?, "only_in")?;
        if !only_in.is_empty() {
            let codes: Vec<_> = only_in.into_iter().map(|id| reading.codes.code(id)).collect();
            wire.insert("only_in".into(), json!(codes));
        }
        if let Some(share) = row.get("max_share") {
            wire.insert("max_share".into(), json!(percent(share, &mut reading.rounded)?));
        }
        row.finish()?;
        substitutes.push(Value::Object(wire));
    }
    Ok(substitutes)
}

pub(super) fn overheads(values: &[Value], reading: &mut Reading) -> Result<Vec<Value>> {
    let mut overheads = Vec::new();
    for value in values {
        let mut row = Row::new(value, "an overhead")?;
        let item = row.need_text("item")?;
        let used_as = row.text("use")?.unwrap_or("overhead");
        let doughs = texts(row.list("doughs")?, "doughs of an overhead")?;
        let doughs: Vec<_> = doughs.into_iter().map(|id| reading.codes.code(id)).collect();
        let mut wire = Map::new();
        let name = format!("{item} as {used_as}");
        wire.insert("code".into(), json!(reading.codes.code(&name)));
        wire.insert("item".into(), json!(reading.codes.code(item)));
        wire.insert("use".into(), json!(used_as));
        wire.insert("doughs".into(), json!(doughs));
        if let Some(rate) = row.get("per_kg") {
            wire.insert("per_kg".into(), quantity(rate, &mut reading.rounded)?);
        }
        row.finish()?;
        overheads.push(Value::Object(wire));
    }
    Ok(overheads)
}
