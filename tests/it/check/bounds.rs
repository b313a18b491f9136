//! A house with its own stock in which each thing that can bind binds once.
//!
//! Source: trade.md 1.2 and 2.10 for what must be said; the house and its figures are
//! invented, and each figure is worked out beside it.

use super::{equal, line};
use anyhow::{Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::server::Server;

/// Wednesday morning; the orders are for Friday.
const NOW: &str = "2026-06-10T09:30:00+02:00";

/// A dough of flour and one thing more, in parts that make a piece of 1 kg easy to count.
fn dough(code: &str, other: &str, made: &Value, mixer: Option<&str>) -> Value {
    json!({
        "code": code, "base": "parts", "dough_class": "lean", "mixer": mixer, "made": made,
        "lines": [{"item": "flour", "parts": "90"}, {"item": other, "parts": "10"}],
    })
}

fn product(code: &str, dough: &str) -> Value {
    json!({"code": code, "dough": dough, "reject": "0", "make_up": [
        {"item": dough, "quantity": {"amount": "1", "unit": "kg"}}]})
}

fn house() -> Value {
    let item = |code: &str| json!({"code": code, "kind": "bought", "base_unit": "g", "allergens_known": true});
    let day_before = json!({"day": -1, "time": "11:00"});
    let three_before = json!({"day": -3, "time": "11:00"});
    let by_rest = json!({"route": "rest", "step": "shape", "drop": "07:00"});
    let by_night = json!({"route": "night", "step": "fold", "drop": "07:00"});
    json!({
        "site": {
            "code": "lock-lane", "time_zone": "Europe/Amsterdam", "currency": "EUR",
            "open_weekdays": ["tue", "wed", "thu", "fri", "sat"],
            "teams": [{"code": "bench", "from": "06:00", "to": "15:00"}],
        },
        "mixers": [{
            "code": "spiral", "name": "Spiral", "minimum": {"amount": "4", "unit": "kg"},
            "maximum": [{"dough_class": "lean", "mass": {"amount": "60", "unit": "kg"}}],
        }],
        "suppliers": [{
            "code": "mill", "time_zone": "Europe/Amsterdam", "holidays": [],
            "delivery_on_holiday": "later", "below_minimum": "carriage",
            "minimum_order": {"minor_units": 0, "currency": "EUR"},
            "carriage": {"minor_units": 0, "currency": "EUR"},
            "deliveries": [{"order_day": "wed", "cutoff": "12:00", "delivery_day": "thu",
                            "window_from": "06:00", "window_to": "08:00"}],
        }],
        "items": [item("flour"), item("seeds"), item("honey"), item("salt")],
        "packs": [{
            "code": "honey-5", "item": "honey", "supplier": "mill",
            "holds": {"amount": "5", "unit": "kg"},
            "price": {"minor_units": 2500, "currency": "EUR"},
        }],
        "formulas": [
            dough("plain", "salt", &day_before, None),
            dough("seeded", "seeds", &day_before, None),
            dough("sweet", "honey", &day_before, None),
            dough("small", "salt", &day_before, Some("spiral")),
            dough("slow", "salt", &three_before, None),
            dough("folded", "salt", &by_night, None),
            dough("rested", "salt", &by_rest, None),
        ],
        // Folding must end at 06:00, before the bench begins at 06:00: an hour too early.
        "routes": [{"code": "night", "limits": [], "steps": [
            {"step": "fold", "minutes": 60, "team": "bench"}, {"step": "bake", "minutes": 60}]},
            // Shaping would have to end between 02:00 and 04:00, and the bench ends at 15:00:
            // with a window of fifteen hours in place of four it would fit.
            {"code": "rest", "limits": [], "steps": [
                {"step": "shape", "minutes": 60, "team": "bench"},
                {"step": "retard", "window": {"least": "PT2H", "most": "PT4H"}},
                {"step": "bake", "minutes": 60}]}],
        "products": [
            product("loaf", "plain"), product("seed-loaf", "seeded"),
            product("honey-loaf", "sweet"), product("roll", "small"),
            product("rye", "slow"), product("fold", "folded"), product("rest", "rested"),
        ],
        "customers": [
            {"code": "cafe", "tier": 2},
            {"code": "school", "tier": 1, "cutoff": {"day": -3, "time": "17:00"}},
        ],
    })
}

/// The house with 50 kg of flour, 5 kg of salt, 1 kg of seeds and no honey.
fn served() -> Result<Server> {
    let server = Server::start(NOW)?;
    server.client().put_bakery(&house())?.success()?;
    for (item, kilos) in [("flour", "50"), ("salt", "5"), ("seeds", "1")] {
        let receipt = json!({
            "item": item, "lot": "L-1", "quantity": {"amount": kilos, "unit": "kg"},
            "received": "2026-06-01", "best_before": "2026-12-01",
        });
        server.client().post_receipt(&receipt)?.success()?;
    }
    Ok(server)
}

fn check(server: &Server, customer: &str, lines: &[(&str, i64)]) -> Result<Value> {
    let lines: Vec<Value> = lines
        .iter()
        .map(|(product, pieces)| {
            json!({"line_ref": product, "product": product, "quantity": pieces})
        })
        .collect();
    let asked = json!({"order_ref": "q-1", "customer": customer, "service_date": "2026-06-12",
                       "drop": "07:00", "lines": lines});
    server.client().post("/v1/orders/check", &asked)?.success()
}

fn says(line: &Value, words: &[&str]) -> Result<()> {
    let sentence = line["sentence"].as_str().unwrap_or_default();
    for word in words {
        ensure!(sentence.contains(word), "`{word}` is not said: {sentence}");
    }
    Ok(())
}

#[test]
fn each_thing_that_can_bind_binds_once() -> Result<()> {
    let server = served()?;
    let wanted = [
        ("loaf", 5),
        ("seed-loaf", 12),
        ("honey-loaf", 5),
        ("roll", 3),
        ("rye", 1),
        ("fold", 2),
        ("rest", 2),
    ];
    let answer = check(&server, "cafe", &wanted)?;
    let expected = [
        // Flour 4.5 kg and salt 0.5 kg are there.
        ("loaf", "yes", 5, Value::Null),
        // A piece takes 100 g of seeds: 1 kg is ten pieces, and nobody sells seeds.
        ("seed-loaf", "part", 10, json!("ingredient")),
        // Half a kilo of honey can be ordered until noon for Thursday 08:00.
        ("honey-loaf", "yes", 5, Value::Null),
        // Three kilos where the mixer needs four.
        ("roll", "no", 0, json!("mixer")),
        // Mixed Tuesday 9 June 11:00.
        ("rye", "no", 0, json!("too-late")),
        ("fold", "no", 0, json!("staff")),
        ("rest", "no", 0, json!("age-window")),
    ];
    for (name, could, most, reason) in expected {
        let found = line(&answer, name)?;
        equal(&found["could_be_made"], &json!(could), found)?;
        equal(&found["at_most"], &json!(most), found)?;
        equal(&found["reason"], &reason, found)?;
    }
    says(line(&answer, "seed-loaf")?, &["At most 10 of 12", "seeds", "Thu 11 Jun 11:00"])?;
    says(line(&answer, "roll")?, &["3 kg", "Spiral needs 4 kg"])?;
    says(line(&answer, "rye")?, &["slow", "Tue 9 Jun 11:00", "Earliest", "Sat 13 Jun 07:00"])?;
    says(line(&answer, "fold")?, &["`fold`", "finds nobody there"])?;
    // Three hours from the last start that the window leaves, 03:00, to the bench's first.
    says(line(&answer, "rest")?, &["`shape`", "age window by 180 minutes"])?;
    let to_order = &answer["to_order"];
    equal(&to_order[0]["item"], &json!("honey"), to_order)?;
    equal(&to_order[0]["short"]["amount"], &json!("500"), to_order)?;
    equal(&to_order[0]["order_until"], &json!("2026-06-10T12:00:00+02:00"), to_order)?;
    equal(&to_order[1], &Value::Null, to_order)
}

#[test]
fn after_its_cutoff_a_line_asks_a_person() -> Result<()> {
    // The school's cutoff was Tuesday 17:00; the dough is mixed on Thursday.
    let answer = check(&served()?, "school", &[("loaf", 5)])?;
    equal(&answer["would_be"], &json!("taken-late-asking"), &answer)?;
    let found = line(&answer, "loaf")?;
    equal(&found["could_be_made"], &json!("yes"), found)?;
    equal(&found["reason"], &json!("cutoff"), found)?;
    equal(&found["cutoff"], &json!("2026-06-09T17:00:00+02:00"), found)?;
    equal(&found["first_step"]["at"], &json!("2026-06-11T11:00:00+02:00"), found)?;
    // The next open day whose cutoff is to come is Saturday: closed only on Sunday and Monday.
    equal(&found["earliest"], &json!("2026-06-13T07:00:00+02:00"), found)
}

#[test]
fn a_late_order_takes_no_bread_from_others() -> Result<()> {
    // Source: trade.md 5: eight of the ten pieces of seeds are held by an order in time.
    let server = served()?;
    let held = json!({
        "order_ref": "cafe-1", "version": 1, "customer": "cafe", "service_date": "2026-06-12",
        "drop": "07:00", "lines": [{"line_ref": "1", "product": "seed-loaf", "quantity": 8}],
    });
    server.client().post_order(&held)?.success()?;
    let answer = check(&server, "school", &[("seed-loaf", 5)])?;
    let found = line(&answer, "seed-loaf")?;
    equal(&found["at_most"], &json!(2), found)?;
    equal(&found["quantity_taken"], &json!(2), found)?;
    equal(&answer["would_be"], &json!("taken-late-asking"), &answer)?;
    let late = json!({
        "order_ref": "school-1", "version": 1, "customer": "school",
        "service_date": "2026-06-12", "drop": "07:00",
        "lines": [{"line_ref": "1", "product": "seed-loaf", "quantity": 5}],
    });
    let taken = server.client().post_order(&late)?.success()?;
    equal(&taken["lines"][0]["quantity_taken"], &json!(2), &taken)?;
    equal(&taken["lines"][0]["reason"], &json!("ingredient"), &taken)
}

#[test]
fn what_is_wrong_with_a_line_is_said_as_for_an_order() -> Result<()> {
    let server = served()?;
    let answer = check(&server, "cafe", &[("no-such-loaf", 5), ("loaf", -3), ("honey-loaf", 0)])?;
    equal(&line(&answer, "no-such-loaf")?["reason"], &json!("unknown-product"), &answer)?;
    equal(&line(&answer, "loaf")?["reason"], &json!("negative-quantity"), &answer)?;
    equal(&line(&answer, "honey-loaf")?["quantity_taken"], &json!(0), &answer)?;
    let nobody = json!({"order_ref": "q", "customer": "nobody", "service_date": "2026-06-12",
        "drop": "07:00", "lines": [{"line_ref": "1", "product": "loaf", "quantity": 1}]});
    let refused = server.client().post("/v1/orders/check", &nobody)?;
    ensure!(refused.status == 422 && refused.text().contains("/customer"), "{}", refused.text());
    Ok(())
}

#[test]
fn without_a_record_of_stock_nothing_is_said_to_be_missing() -> Result<()> {
    let server = Server::start(NOW)?;
    server.client().put_bakery(&house())?.success()?;
    let answer = check(&server, "cafe", &[("seed-loaf", 12)])?;
    equal(&line(&answer, "seed-loaf")?["could_be_made"], &json!("yes"), &answer)?;
    ensure!(answer["notes"].to_string().contains("no stock is recorded"), "{answer}");
    Ok(())
}
