//! A conformance scenario, turned into what the API takes.
//!
//! Every key of a scenario is sent, or counted as an input that no call takes yet, or
//! unknown; an unknown key is a failure that names it.

pub mod amount;
mod formulas;
mod horizons;
mod house;
mod items;
mod past;
mod products;
#[cfg(test)]
mod tests;

pub use horizons::{Horizon, OVERDRAWN};

use crate::{codes::Codes, row::Row};
use amount::Rounded;
use anyhow::{Context, Result, bail};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// What the parts of a scenario share while it is read.
#[derive(Debug, Default)]
pub(crate) struct Reading {
    /// Codes given out.
    pub codes: Codes,
    /// Amounts that the wire cannot say exactly.
    pub rounded: Rounded,
    /// Inputs that no call takes yet, and how often each occurred.
    pub not_sent: BTreeMap<&'static str, usize>,
    /// Names of formulas.
    pub formulas: BTreeSet<String>,
    /// The pack of each item, by name.
    pub packs: BTreeMap<String, Value>,
    /// Letters of the site's money.
    pub currency: String,
    /// Name of the site's clock.
    pub zone: String,
}

impl Reading {
    /// Counts an input that no call takes yet.
    pub fn skip(&mut self, what: &'static str, value: Option<&Value>) {
        let count = match value {
            None => return,
            Some(Value::Array(elements)) => elements.len(),
            Some(_) => 1,
        };
        if count > 0 {
            *self.not_sent.entry(what).or_default() += count;
        }
    }

    /// Money in whole minor units.
    pub fn money(&self, minor_units: i64) -> Value {
        json!({"minor_units": minor_units, "currency": self.currency})
    }
}

/// One product asked for its allergens with some items exchanged.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Swap {
    /// The product's name in the scenario.
    pub product: String,
    /// From which item to which, by names.
    pub items: Vec<(String, String)>,
}

/// A whole scenario as the API takes it.
#[derive(Debug)]
pub struct Scenario {
    /// Its name, for reports only.
    pub id: String,
    /// The bakery document.
    pub bakery: Value,
    /// Names and their codes.
    pub codes: Codes,
    /// Formulas, by name.
    pub formulas: BTreeSet<String>,
    /// Ingredients, by name.
    pub ingredients: BTreeSet<String>,
    /// Formulas in blocks, by name.
    pub block_formulas: BTreeSet<String>,
    /// What each formula takes, by names.
    pub uses: BTreeMap<String, BTreeSet<String>>,
    /// Allergen questions with a swap.
    pub swaps: Vec<Swap>,
    /// The situations in which answers are asked.
    pub horizons: Vec<Horizon>,
    /// Inputs that no call takes yet.
    pub not_sent: BTreeMap<&'static str, usize>,
    /// Amounts that lost digits on the way to the wire.
    pub rounded: Vec<String>,
}

impl Scenario {
    /// Reads a scenario file.
    ///
    /// # Errors
    /// Names the first place that cannot be read, and every unknown key of its object.
    pub fn read(document: &Value) -> Result<Self> {
        let mut reading = Reading::default();
        let mut row = Row::new(document, "the scenario")?;
        let form = row.need_text("form")?;
        if !form.ends_with("scenario/1") {
            bail!("the scenario has the unknown form `{form}`");
        }
        let id = row.need_text("id")?.to_owned();
        let formulas = row.list("formulas")?;
        for formula in formulas {
            let name = formula.get("id").and_then(Value::as_str).context("a formula without id")?;
            reading.formulas.insert(name.to_owned());
        }
        let bakery = bakery(&mut row, &id, formulas, &mut reading)
            .with_context(|| format!("scenario {id}"))?;
        let swaps = row.list("allergen_checks")?.iter().map(swap).collect::<Result<Vec<_>>>()?;
        let horizons = horizons::read(row.list("horizons")?, &mut reading)?;
        row.finish()?;
        let block_formulas = formulas
            .iter()
            .filter(|formula| formula["driver"] == "blocks")
            .filter_map(|formula| formula["id"].as_str().map(str::to_owned))
            .collect();
        let uses = uses(formulas);
        let ingredients = document["ingredients"].as_array().into_iter().flatten();
        let ingredients = ingredients.filter_map(|item| item["id"].as_str().map(str::to_owned));
        let ingredients = ingredients.collect();
        let Reading { codes, rounded, not_sent, formulas, packs: _, currency: _, zone: _ } =
            reading;
        let rounded = rounded.texts;
        Ok(Self {
            id,
            bakery,
            codes,
            formulas,
            ingredients,
            block_formulas,
            uses,
            swaps,
            horizons,
            not_sent,
            rounded,
        })
    }
}

fn uses(formulas: &[Value]) -> BTreeMap<String, BTreeSet<String>> {
    let text = |value: &Value| value.as_str().map(str::to_owned);
    let mut uses = BTreeMap::new();
    for formula in formulas {
        let lines = formula["lines"].as_array().into_iter().flatten();
        let mut taken: BTreeSet<String> = lines.filter_map(|line| text(&line["item"])).collect();
        taken.extend(["base", "sheet"].into_iter().filter_map(|key| text(&formula[key])));
        if let Some(id) = text(&formula["id"]) {
            uses.insert(id, taken);
        }
    }
    uses
}

fn bakery(row: &mut Row, id: &str, formulas: &[Value], reading: &mut Reading) -> Result<Value> {
    let site = house::site(row.need("site")?, id, reading)?;
    let customers = house::customers(row.list("customers")?, reading)?;
    let scales = house::scales(row.list("scales")?, reading)?;
    let mixers = house::mixers(row.list("mixers")?, reading)?;
    let ovens = house::ovens(row.table("oven_decks")?, reading)?;
    let suppliers = house::suppliers(row.list("suppliers")?, reading)?;
    let routes = house::routes(row.list("routes")?, reading)?;
    let (mut items, packs) = items::items(row.list("ingredients")?, reading)?;
    items::joint_fruits(row.list("joint_fruits")?, &mut items, reading)?;
    let substitutes = items::substitutes(row.list("substitutes")?, reading)?;
    let formulas = formulas::formulas(formulas, reading)?;
    let products = products::products(row.list("products")?, reading)?;
    let overheads = items::overheads(row.list("overheads")?, reading)?;
    Ok(json!({
        "site": site, "places": [], "scales": scales, "mixers": mixers, "ovens": ovens,
        "suppliers": suppliers, "items": items, "packs": packs, "substitutes": substitutes,
        "formulas": formulas, "routes": routes, "products": products, "overheads": overheads,
        "customers": customers,
    }))
}

fn swap(value: &Value) -> Result<Swap> {
    let mut row = Row::new(value, "an allergen check")?;
    let product = row.need_text("product")?.to_owned();
    let mut items = Vec::new();
    for (from, to) in row.table("swap")? {
        let to = to.as_str().with_context(|| format!("the swap of `{from}` is not a text"))?;
        items.push((from.to_owned(), to.to_owned()));
    }
    row.finish()?;
    Ok(Swap { product, items })
}

/// A list of plain texts.
pub(crate) fn texts<'a>(values: &'a [Value], place: &str) -> Result<Vec<&'a str>> {
    let text = |value: &'a Value| value.as_str().with_context(|| format!("{place}: {value}"));
    values.iter().map(text).collect()
}

/// A local day and time against a service date, or a step of a route.
pub(crate) fn moment(value: &Value, place: &str, reading: &mut Reading) -> Result<Value> {
    let mut row = Row::new(value, place)?;
    let moment = match row.text("route")? {
        Some(route) => json!({
            "route": reading.codes.code(route),
            "step": row.need_text("step")?,
            "drop": row.need_text("drop")?,
        }),
        None => json!({
            "day": row.whole("day")?.unwrap_or(0),
            "time": row.need_text("time")?,
        }),
    };
    row.finish()?;
    Ok(moment)
}

/// A least and a most length, as a pair or as an object.
pub(crate) fn window(value: &Value, place: &str) -> Result<Value> {
    if let Value::Array(ends) = value {
        let [least, most] = ends.as_slice() else { bail!("{place} is not a pair: {value}") };
        return Ok(json!({"least": amount::duration(least)?, "most": amount::duration(most)?}));
    }
    let mut row = Row::new(value, place)?;
    let least = row.any(&["least", "min"]).with_context(|| format!("{place} has no least"))?;
    let most = row.any(&["most", "max"]).with_context(|| format!("{place} has no most"))?;
    let window = json!({"least": amount::duration(least)?, "most": amount::duration(most)?});
    row.finish()?;
    Ok(window)
}
