//! Made stock with age through the API: kept dough, levain, cream, frozen things, use-by days.
//!
//! One invented bakery for all of it; each test says which rule it checks and where that
//! rule stands.

mod cold;
mod dough;
mod feeds;
mod old_dough;
mod over_age;
mod par_baked;
mod standing;
mod use_by;

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, server::Server};

/// The service date of all orders: a Friday.
const FRIDAY: &str = "2026-06-12";

/// Long enough before it that every order is in time.
const BEFORE: &str = "2026-06-08T09:00:00+02:00";

/// A server that holds the bakery, with its lots and orders.
struct Yard {
    server: Server,
    orders: std::cell::Cell<u32>,
}

impl Yard {
    /// Opens a bakery at a moment.
    fn open(now: &str, bakery: &Value) -> Result<Self> {
        let server = Server::start(now)?;
        server.client().put_bakery(bakery)?.success().context("the bakery is refused")?;
        Ok(Self { server, orders: std::cell::Cell::new(0) })
    }

    /// The same house at another moment; orders that came before it were in time.
    fn at(self, now: &str) -> Result<Self> {
        Ok(Self { server: self.server.at(now)?, ..self })
    }

    const fn client(&self) -> &Client {
        self.server.client()
    }

    /// Takes a receipt of grams; `more` says the rest of it.
    fn lot(&self, item: &str, name: &str, grams: &str, more: &Value) -> Result<Value> {
        let mut receipt = json!({"item": item, "lot": name, "received": "2026-06-01",
            "quantity": {"amount": grams, "unit": "g"}});
        let (receipt_map, more) = (receipt.as_object_mut(), more.as_object());
        receipt_map.context("a receipt")?.extend(more.context("more of it")?.clone());
        let answer = self.client().post_receipt(&receipt)?.success();
        answer.with_context(|| format!("the lot {name} is refused"))
    }

    /// Orders pieces for a date and a drop.
    fn order_for(&self, date: &str, drop: &str, product: &str, pieces: i64) -> Result<()> {
        let number = self.orders.get() + 1;
        self.orders.set(number);
        let order = json!({"order_ref": format!("o-{number}"), "version": 1, "customer": "cafe",
            "service_date": date, "drop": drop,
            "lines": [{"line_ref": "1", "product": product, "quantity": pieces}]});
        self.client().post_order(&order)?.success().context("an order is refused")?;
        Ok(())
    }

    fn order(&self, product: &str, pieces: i64) -> Result<()> {
        self.order_for(FRIDAY, "07:00", product, pieces)
    }

    /// The batch of a formula for a date.
    fn batch_for(&self, date: &str, formula: &str) -> Result<Value> {
        let answer = self.client().requirements(date)?;
        let batches = answer["batches"].as_array().context("batches")?;
        let found = batches.iter().find(|batch| batch["formula"] == formula);
        found.cloned().with_context(|| format!("no batch of {formula} for {date}: {answer}"))
    }

    fn batch(&self, formula: &str) -> Result<Value> {
        self.batch_for(FRIDAY, formula)
    }

    /// The rows of kept stock for a date, by the name on the tub.
    fn kept(&self, date: &str, lot: &str) -> Result<Value> {
        let answer = self.client().requirements(date)?;
        let rows = answer["dough_stock"].as_array().context("dough_stock")?;
        let found = rows.iter().find(|row| row["lot"] == lot);
        found.cloned().with_context(|| format!("no row of {lot} for {date}"))
    }

    /// What nothing covers of an item up to Friday, in its base unit.
    fn short(&self, item: &str) -> Result<String> {
        let answer = self.client().shortages(FRIDAY)?;
        let groups = answer["groups"].as_array().context("groups")?.iter();
        let lines = groups.flat_map(|group| group["lines"].as_array().into_iter().flatten());
        let covered = answer["covered"].as_array().context("covered")?;
        let line = lines.chain(covered).find(|line| line["item"] == item);
        let line = line.with_context(|| format!("no line of {item}: {answer}"))?;
        Ok(line["short_exact"]["amount"].as_str().context("an amount")?.to_owned())
    }

    fn sheet(&self, date: &str, name: &str) -> Result<Value> {
        self.client().get(&format!("/v1/work-dates/{date}/{name}"))?.success()
    }

    fn page(&self, date: &str, name: &str) -> Result<String> {
        let path = format!("/v1/work-dates/{date}/{name}");
        let reply = self.client().get_as(&path, "text/html")?;
        ensure!(reply.status == 200, "{path}: {}", reply.text());
        Ok(reply.text())
    }

    /// Fails unless an amount is so many grams.
    fn is(amount: &Value, grams: &str) -> Result<()> {
        ensure!(amount["amount"] == grams, "expected {grams}, found {amount}");
        Ok(())
    }
}

/// A plain bought item.
fn item(code: &str, contains: &[&str]) -> Value {
    json!({"code": code, "name": code, "kind": "bought", "base_unit": "g",
        "contains": contains, "allergens_known": true, "place": "dry-store"})
}

/// A line by parts.
fn line(item: &str, parts: &str) -> Value {
    json!({"item": item, "parts": parts})
}

/// The bakery: dough that is kept cold, a poolish, a levain, a custard, frozen sheets.
fn bakery() -> Value {
    let mut frozen = item("puff-sheet", &["wheat"]);
    frozen["place"] = json!("freezer");
    frozen["ready_after"] = json!("PT16H");
    let mut butter = item("butter", &["milk"]);
    butter["place"] = json!("chiller");
    butter["ready_after"] = json!("PT1H");
    let mut milk = item("milk", &["milk"]);
    milk["place"] = json!("chiller");
    let white = json!({"item": "white", "parts": "100", "flour": true});
    json!({
        "site": {"code": "house", "name": "Test House", "time_zone": "Europe/Amsterdam",
            "currency": "EUR", "open_weekdays": ["tue", "wed", "thu", "fri", "sat"],
            "closed_dates": [], "teams": []},
        "places": [
            {"code": "dry-store", "name": "Dry store", "kind": "dry"},
            {"code": "chiller", "name": "Chiller", "kind": "chiller"},
            {"code": "freezer", "name": "Freezer", "kind": "freezer"},
            {"code": "weigh-room", "name": "Weigh room", "kind": "weigh_room"},
            {"code": "bench", "name": "Bench", "kind": "bench"}],
        "scales": [{"code": "fine", "capacity": {"amount": "60", "unit": "kg"},
            "division": {"amount": "0.1", "unit": "g"}, "from": {"amount": "1", "unit": "g"}}],
        "mixers": [], "ovens": [], "suppliers": [], "packs": [], "substitutes": [],
        "routes": [], "overheads": [],
        "customers": [{"code": "cafe", "name": "Cafe", "tier": 1}],
        "items": [item("white", &["wheat"]),
            {"code": "water", "name": "Water", "kind": "bought", "base_unit": "g",
                "stocked": false, "water": true, "free": true, "allergens_known": true},
            milk, butter, frozen],
        "formulas": [
            {"code": "dough", "base": "parts", "made": {"day": -1, "time": "10:00"},
                "age_window": {"least": "PT12H", "most": "PT48H"}, "best_age": "PT20H",
                "divide": {"day": -1, "time": "13:00"},
                "losses": [{"stage": "scrap", "percent": "5"}],
                "lines": [white, line("water", "60")]},
            {"code": "poolish", "base": "parts", "made": {"day": -1, "time": "00:30"},
                "age_window": {"least": "PT10H", "most": "PT16H"},
                "losses": [{"stage": "pot", "percent": "2"}],
                "lines": [white, line("water", "100")]},
            {"code": "levain", "base": "parts", "made": {"day": -1, "time": "02:00"},
                "age_window": {"least": "PT8H", "most": "PT14H"},
                "keep_back": {"after_last": {"amount": "500", "unit": "g"}, "seed_life": "PT24H"},
                "losses": [{"stage": "pot", "percent": "2"}],
                "lines": [white, line("water", "100"),
                    {"item": "levain", "parts": "20", "previous_batch": true}]},
            {"code": "custard", "base": "parts", "made": {"day": -1, "time": "06:00"},
                "life": "PT48H",
                "losses": [{"stage": "deposit", "percent": "10"}, {"stage": "cook", "percent": "20"}],
                "lines": [line("milk", "100"), line("white", "100")]},
            {"code": "baguette", "base": "parts", "made": {"day": -1, "time": "11:00"},
                "lines": [white, line("poolish", "100")]},
            {"code": "country", "base": "parts", "made": {"day": -1, "time": "11:00"},
                "lines": [white, line("water", "60"), line("levain", "40")]},
            {"code": "puff", "base": "parts", "made": {"day": 0, "time": "04:00"},
                "lines": [line("puff-sheet", "1"), line("butter", "1")]},
            {"code": "bun", "base": "parts", "made": {"day": -1, "time": "23:40"},
                "lines": [white, line("milk", "100")]}],
        "products": [
            product("roll", "dough", "500"), product("stick", "baguette", "1000"),
            product("loaf", "country", "1000"), product("slice", "puff", "200"),
            product("milk-bun", "bun", "200"),
            {"code": "tart", "reject": "0", "make_up": [{"item": "custard",
                "quantity": {"amount": "90", "unit": "g"}, "at": {"day": 0, "time": "05:00"}}]}],
    })
}

fn product(code: &str, dough: &str, grams: &str) -> Value {
    json!({"code": code, "dough": dough, "reject": "0",
        "make_up": [{"item": dough, "quantity": {"amount": grams, "unit": "g"}}]})
}
