//! Horizons of a scenario: the clock, orders and stock in which answers are asked.

use super::{
    Reading,
    amount::quantity,
    past::{Names, past_load},
    texts,
};
use crate::{exact, row::Row};
use anyhow::{Context, Result, bail};
use jiff::civil::Date;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// One situation: what is true and what is asked for.
#[derive(Debug)]
pub struct Horizon {
    /// Its name, for reports only.
    pub id: String,
    /// What the clock says, with its offset.
    pub now: String,
    /// The dates that are asked for.
    pub service_dates: Vec<String>,
    /// Order bodies to post.
    pub orders: Vec<Value>,
    /// Receipt bodies to post.
    pub receipts: Vec<Value>,
    /// The moment for which the stock figures stand, if it is not now: lots are counted then.
    pub counted_at: Option<String>,
    /// Names of the lots of kept dough among them, in the order in which they are listed.
    pub doughs: Vec<String>,
    /// Loads of the past to write down.
    pub past_loads: Vec<Value>,
}

/// Code of the customer that stands for what the counter opens with.
pub const COUNTER_PAR: &str = "what the counter opens with";

/// Marks a receipt of which twice as much is thrown away, so that its book is below nothing;
/// it is no part of the body.
pub const OVERDRAWN: &str = "overdrawn";

pub(super) fn read(values: &[Value], reading: &mut Reading) -> Result<Vec<Horizon>> {
    let mut whole: BTreeMap<&str, Map<String, Value>> = BTreeMap::new();
    let mut horizons = Vec::new();
    for value in values {
        let own = value.as_object().context("a horizon is not an object")?;
        let id = own.get("id").and_then(Value::as_str).context("a horizon has no id")?;
        let mut merged = match own.get("same_as").and_then(Value::as_str) {
            None => Map::new(),
            Some(other) => {
                let wrong = || format!("horizon {id} is the same as the unknown {other}");
                whole.get(other).with_context(wrong)?.clone()
            }
        };
        merged.extend(own.iter().map(|(key, value)| (key.clone(), value.clone())));
        merged.remove("same_as");
        let document = Value::Object(merged.clone());
        horizons.push(horizon(&document, reading).with_context(|| format!("horizon {id}"))?);
        whole.insert(id, merged);
    }
    Ok(horizons)
}

fn horizon(document: &Value, reading: &mut Reading) -> Result<Horizon> {
    let mut row = Row::new(document, "a horizon")?;
    let mut horizon = Horizon {
        id: row.need_text("id")?.to_owned(),
        now: row.need_text("now")?.to_owned(),
        service_dates: texts(row.list("service_dates")?, "service_dates")?
            .into_iter()
            .map(str::to_owned)
            .collect(),
        orders: Vec::new(),
        receipts: Vec::new(),
        counted_at: None,
        doughs: Vec::new(),
        past_loads: Vec::new(),
    };
    let mut book = OrderBook::default();
    for value in row.list("orders")? {
        book.add_ordered(value)?;
    }
    for value in row.any(&["par", "counter_par"]).and_then(Value::as_array).into_iter().flatten() {
        book.add_par(value)?;
    }
    horizon.orders = book.bodies(reading);
    for value in row.list("lots")? {
        horizon.receipts.push(lot(value, reading)?);
    }
    for (number, value) in row.list("finished_stock")?.iter().enumerate() {
        horizon.receipts.push(finished(value, number + 1, reading)?);
    }
    horizon.counted_at = row.text("stock_as_of")?.map(str::to_owned);
    for value in row.list("open_orders")? {
        horizon.receipts.push(open_order(value, reading)?);
    }
    let names = Names::new(row.list("lots")?, row.list("history_loads")?);
    for value in row.list("history_loads")? {
        horizon.past_loads.push(past_load(value, &names, reading)?);
    }
    // Questions are asked as the expected answers name them.
    row.get("recalls");
    row.get("back_schedule");
    row.get("fair_share");
    row.get("late_orders");
    for (number, value) in row.list("dough_stock")?.iter().enumerate() {
        let (name, receipt) = kept_dough(value, number + 1, reading)?;
        horizon.receipts.push(receipt);
        horizon.doughs.push(name);
    }
    row.finish()?;
    Ok(horizon)
}

/// Lines by service date and customer, in the order in which they were listed.
#[derive(Debug, Default)]
struct OrderBook {
    lines: Vec<(String, String, Vec<Value>)>,
}

impl OrderBook {
    fn line(&mut self, date: &str, customer: &str, product: &str, quantity: &Value) {
        let known = self.lines.iter().position(|(d, c, _)| d == date && c == customer);
        let at = known.unwrap_or_else(|| {
            self.lines.push((date.to_owned(), customer.to_owned(), Vec::new()));
            self.lines.len() - 1
        });
        let lines = &mut self.lines[at].2;
        let number = (lines.len() + 1).to_string();
        lines.push(json!({"line_ref": number, "product": product, "quantity": quantity}));
    }

    fn add_ordered(&mut self, value: &Value) -> Result<()> {
        let mut row = Row::new(value, "an order")?;
        let (date, product) = (row.need_text("service_date")?, row.need_text("product")?);
        for (customer, quantity) in row.table("by_customer")? {
            self.line(date, customer, product, &number(quantity)?);
        }
        row.finish()
    }

    fn add_par(&mut self, value: &Value) -> Result<()> {
        let mut row = Row::new(value, "a counter par")?;
        let (date, product) = (row.need_text("service_date")?, row.need_text("product")?);
        let pieces = row.any(&["par", "pieces", "quantity", "qty"]);
        let pieces = number(pieces.context("a counter par has no number of pieces")?)?;
        self.line(date, COUNTER_PAR, product, &pieces);
        row.finish()
    }

    fn bodies(self, reading: &mut Reading) -> Vec<Value> {
        let mut bodies = Vec::new();
        for (date, customer, mut lines) in self.lines {
            for line in &mut lines {
                let product = line["product"].as_str().unwrap_or_default().to_owned();
                line["product"] = json!(reading.codes.code(&product));
            }
            let customer = reading.codes.code(&customer);
            bodies.push(json!({
                "order_ref": format!("{customer}-{date}"), "version": 1, "customer": customer,
                "service_date": date, "drop": "07:00", "lines": lines,
            }));
        }
        bodies
    }
}

/// A quantity of an order as a JSON number; the service decides whether it is one.
fn number(value: &Value) -> Result<Value> {
    match value {
        Value::Number(_) => Ok(value.clone()),
        Value::String(text) => {
            serde_json::from_str(text).with_context(|| format!("an order of `{text}`"))
        }
        other => bail!("an order of {other}"),
    }
}

fn lot(value: &Value, reading: &mut Reading) -> Result<Value> {
    let mut row = Row::new(value, "a lot")?;
    let mut wire = Map::new();
    wire.insert("item".into(), json!(reading.codes.code(row.need_text("item")?)));
    wire.insert("lot".into(), json!(row.any(&["lot", "id"]).context("a lot has no name")?));
    let amount = quantity(row.need("quantity")?, &mut reading.rounded)?;
    let below = amount["amount"].as_str().and_then(|text| text.strip_prefix('-'));
    if let Some(below) = below {
        // No call posts negative stock: it comes, and twice as much is thrown away.
        wire.insert(OVERDRAWN.into(), json!(true));
        wire.insert("quantity".into(), json!({"amount": below, "unit": amount["unit"]}));
    } else {
        wire.insert("quantity".into(), amount);
    }
    wire.insert("received".into(), json!(row.need_text("received")?));
    let kind = match row.text("date_kind")? {
        Some("use-by") => "use_by",
        Some("best-before") | None => "best_before",
        Some(other) => bail!("a lot has the unknown date kind `{other}`"),
    };
    if let Some(date) = row.text("date")? {
        wire.insert(kind.into(), json!(date));
    }
    for key in ["usable_until", "state", "arrives"] {
        if let Some(text) = row.text(key)? {
            wire.insert(key.into(), json!(text));
        }
    }
    for key in ["supplier", "place"] {
        if let Some(name) = row.text(key)? {
            wire.insert(key.into(), json!(reading.codes.code(name)));
        }
    }
    let opened = row.get("opened");
    reading.skip("moment a lot was opened", opened);
    row.finish()?;
    Ok(Value::Object(wire))
}

/// Goods that a supplier was sent an order for, as a lot on its way.
fn open_order(value: &Value, reading: &mut Reading) -> Result<Value> {
    let mut row = Row::new(value, "an open order")?;
    let (order, item) = (row.need_text("order")?, row.need_text("item")?);
    let arrives = row.need_text("arrives")?;
    let packs = row.whole("packs")?.context("an open order has no packs")?;
    row.finish()?;
    let pack = reading.packs.get(item).context("an open order of what has no pack")?;
    let amount = exact::parse(pack["holds"]["amount"].as_str().context("a pack")?)?;
    let amount = amount * exact::whole(packs);
    let received = arrives.get(..10).context("an arrival is an instant")?;
    let mut wire = json!({
        "item": reading.codes.code(item), "lot": order, "state": "expected",
        "quantity": {"amount": amount.to_string(), "unit": pack["holds"]["unit"]},
        "received": received, "arrives": arrives,
    });
    if let Some(life) = pack["minimum_life"].as_str() {
        let arrives = arrives.parse::<jiff::Timestamp>()?.in_tz(&reading.zone)?;
        let last = arrives.checked_add(life.parse::<jiff::Span>()?)?.date();
        wire["use_by"] = json!(last.to_string());
    }
    Ok(wire)
}

/// Kept dough as a lot that says when it was made.
fn kept_dough(value: &Value, number: usize, reading: &mut Reading) -> Result<(String, Value)> {
    let mut row = Row::new(value, "kept dough")?;
    let formula = row.any(&["formula", "dough", "item"]).and_then(Value::as_str);
    let formula = formula.context("kept dough names no formula")?;
    let mass = row.any(&["mass", "quantity", "qty", "amount", "mass_g"]);
    let mass = match mass.context("kept dough has no mass")? {
        Value::String(text) if text.contains(' ') => quantity(&json!(text), &mut reading.rounded)?,
        Value::String(grams) => json!({"amount": grams, "unit": "g"}),
        grams => json!({"amount": grams.to_string(), "unit": "g"}),
    };
    let names = ["made_at", "made", "mixed_at", "mixed", "since", "from", "aged_from", "start"];
    let made_at = row.any(&names).and_then(Value::as_str).context("kept dough: made when?")?;
    let name = row.any(&["lot", "id", "name"]).and_then(Value::as_str);
    let name = name.map_or_else(|| format!("dough-{number}"), str::to_owned);
    let received = made_at.get(..10).context("kept dough: made on which day?")?;
    let mut wire = Map::new();
    wire.insert("item".into(), json!(reading.codes.code(formula)));
    wire.insert("lot".into(), json!(name));
    wire.insert("quantity".into(), mass);
    wire.insert("received".into(), json!(received));
    wire.insert("made_at".into(), json!(made_at));
    for key in ["usable_until", "state"] {
        if let Some(text) = row.text(key)? {
            wire.insert(key.into(), json!(text));
        }
    }
    row.finish()?;
    Ok((name, Value::Object(wire)))
}

fn finished(value: &Value, number: usize, reading: &mut Reading) -> Result<Value> {
    let mut row = Row::new(value, "finished stock")?;
    let product = row.need_text("product")?;
    let baked = row.text("baked")?;
    let mut wire = Map::new();
    wire.insert("item".into(), json!(reading.codes.code(product)));
    let name = row.text("lot")?.map_or_else(|| format!("finished-{number}"), str::to_owned);
    wire.insert("lot".into(), json!(name));
    let pieces = row.any(&["quantity", "pieces"]).context("finished stock has no quantity")?;
    let pieces = match pieces.as_str() {
        Some(text) if text.contains(' ') => quantity(pieces, &mut reading.rounded)?,
        Some(text) => json!({"amount": text, "unit": "each"}),
        None => json!({"amount": pieces.to_string(), "unit": "each"}),
    };
    wire.insert("quantity".into(), pieces);
    let until = row.text("usable_until")?;
    let received = row.text("received")?.or(baked).or(until.and_then(|text| text.get(..10)));
    wire.insert("received".into(), json!(received.context("finished stock has no date")?));
    if let Some(until) = until {
        let key = if until.contains('T') { "usable_until" } else { "use_by" };
        wire.insert(key.into(), json!(until));
    }
    if let Some(date) = baked {
        wire.insert("baked".into(), json!(date));
    }
    let used_as = row.text("use")?;
    if used_as == Some("ingredient") {
        wire.insert("use".into(), json!("ingredient"));
    } else if let Some(other) = used_as.filter(|word| !["sale", "any", "orders"].contains(word)) {
        bail!("finished stock has the unknown use `{other}`");
    }
    for key in ["state", "arrives"] {
        if let Some(text) = row.text(key)? {
            wire.insert(key.into(), json!(text));
        }
    }
    // A scenario may say of pieces still to be baked only on which day: they are there
    // from its start.
    if wire.get("state") == Some(&json!("expected")) && !wire.contains_key("arrives") {
        let day: Date = baked.context("expected finished stock has no bake date")?.parse()?;
        let start = day.in_tz(&reading.zone)?;
        let text = start.strftime("%Y-%m-%dT%H:%M:%S%:z").to_string();
        wire.insert("arrives".into(), json!(text));
    }
    row.finish()?;
    Ok(Value::Object(wire))
}
