//! The nasty cases of the trade rules, part 7, through the public API.
//!
//! Each test names its case. The house is invented and as small as its case allows.

mod amendments;
mod buying;
mod loads;
mod nights;
mod orders;
mod recalls;
mod stock;

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::server::Server;

/// Friday 12 June 2026; the house is asked two days before.
const SERVICE_DATE: &str = "2026-06-12";
const NOW: &str = "2026-06-10T09:30:00+02:00";

/// A house with one lean dough, one mixer and loaves of it; `change` says more.
fn house(change: impl FnOnce(&mut Value)) -> Value {
    let mut bakery = json!({
        "site": {
            "code": "lock-lane", "time_zone": "Europe/Amsterdam", "currency": "EUR",
            "open_weekdays": ["mon", "tue", "wed", "thu", "fri", "sat", "sun"],
        },
        "places": [],
        "scales": [],
        "mixers": [{
            "code": "spiral",
            "minimum": {"amount": "4", "unit": "kg"},
            "maximum": [{"dough_class": "lean", "mass": {"amount": "60", "unit": "kg"}}],
        }],
        "ovens": [], "suppliers": [],
        "items": [
            {"code": "flour", "kind": "bought", "base_unit": "g", "allergens_known": true},
            {"code": "water", "kind": "bought", "base_unit": "g", "allergens_known": true,
             "stocked": false, "water": true},
        ],
        "packs": [], "substitutes": [],
        "formulas": [{
            "code": "dough", "base": "percent_of_flour", "view": "final_mix",
            "dough_class": "lean", "mixer": "spiral", "made": {"day": -1, "time": "11:00"},
            "lines": [{"item": "flour", "parts": "100", "flour": true},
                      {"item": "water", "parts": "50"}],
            "losses": [],
        }],
        "routes": [],
        "products": [{
            "code": "loaf", "dough": "dough", "reject": "0",
            "make_up": [{"item": "dough", "quantity": {"amount": "1", "unit": "kg"}}],
        }],
        "overheads": [],
        "customers": [{"code": "cafe", "tier": 2}],
    });
    change(&mut bakery);
    bakery
}

/// A server that holds the house.
fn serve(bakery: &Value, now: &str) -> Result<Server> {
    let server = Server::start(now)?;
    server.client().put_bakery(bakery)?.success().context("the house is refused")?;
    Ok(server)
}

/// An order of one product for a date.
fn order(version: i64, service_date: &str, product: &str, quantity: i64) -> Value {
    json!({
        "order_ref": "bar-1", "version": version, "customer": "cafe",
        "service_date": service_date, "drop": "07:00",
        "lines": [{"line_ref": "1", "product": product, "quantity": quantity}],
    })
}

/// The batch of a formula in the requirements of a date.
fn batch(requirements: &Value, formula: &str) -> Result<Value> {
    let batches = requirements["batches"].as_array().context("a list of batches")?;
    let found = batches.iter().find(|batch| batch["formula"] == formula);
    found.cloned().with_context(|| format!("no batch of {formula}: {requirements}"))
}

/// Fails unless two values are equal, and shows both.
fn equal(found: &Value, expected: &Value) -> Result<()> {
    ensure!(found == expected, "expected {expected}, found {found}");
    Ok(())
}
