//! A scenario with everything that the format allows, and what becomes of it.

use super::*;
use weighhouse::document::{BakeryBody, decode};

/// Names with capitals and underscores, foreign units, fractions, every driver.
fn scenario() -> Value {
    json!({
        "form": "oracle-scenario/1", "id": "Every_Thing", "notes": [{"text": "invented"}],
        "site": {"name": "House", "time_zone": "Europe/Amsterdam",
            "currency": {"code": "EUR", "minor_digits": 2}, "open_weekdays": ["Tue", "Wed"],
            "closed_dates": ["2026-12-25"], "staff": {"Oven": ["02:00", "10:00"]}},
        "customers": [{"id": "A", "tier": 1, "cutoff": {"day": -2, "time": "17:00"}},
            {"id": "B_two", "tier": 2}],
        "scales": [{"id": "Floor", "capacity": "100 lb", "division": "20 g", "from": "2 kg"}],
        "mixers": [{"id": "Big", "min": "4 kg", "max": {"lean": "40 kg"}, "residue": "50 g"}],
        "oven_decks": {"rack": {"trays": 18}, "hearth": {"large": 40}},
        "suppliers": [{"id": "Mill", "time_zone": "Europe/Amsterdam", "holidays": [],
            "working_days": ["Mon", "Tue"], "minimum_minor": 1000, "below": "refused",
            "carriage_minor": 0, "table": [{"order_day": "Mon", "cutoff": "12:00",
                "delivery_day": "Wed", "window": ["07:00", "10:00"]}]}],
        "ingredients": [
            {"id": "White", "unit": "g", "contains": ["wheat"], "pack": {"supplier": "Mill",
                "holds": "50 lb", "inner": "25 lb", "price_minor": 2000, "min_life": "60 d",
                "breaks": [{"from_packs": 5, "price_minor": 1900}]}},
            {"id": "water", "unit": "g", "water": true, "stocked": false, "price_free": true},
            {"id": "Milk_whole", "unit": "g", "density": "1.03 kg/L", "opened_life": "3 d",
                "safety_stock": "2 qt", "contains": ["milk"]},
            {"id": "egg", "unit": "each", "each": "50 g", "contains": ["egg"],
                "weighing_loss": "0.01", "ready_after": "16 h"},
            {"id": "lemons", "unit": "each", "each": "125 g", "short_life": true},
            {"id": "sheet", "unit": "each", "each": "1000 g"},
            {"id": "mystery", "unit": "g", "allergens_known": false}],
        "joint_fruits": [{"fruit": "lemons", "first": "zest", "keep": "48 h",
            "surplus_keeps": false, "outputs": {"zest": {"yield": "5 g", "cost_share": "0.6"},
                "juice": {"yield": "40 g", "cost_share": "0.4"}}}],
        "overheads": [{"item": "White", "use": "dusting", "doughs": ["Dough"]}],
        "substitutes": [{"from": "Milk_whole", "per": "1 qt", "use": [
            {"item": "water", "qty": "1 kg"}], "approved": true, "only_in": ["Dough"],
            "max_share": "0.5"}],
        "formulas": [
            {"id": "Levain", "driver": "mass", "made": {"day": -1, "time": "02:00"},
                "losses": [{"stage": "pot", "rate": "0.02"}],
                "keep_back": {"kind": "seed of the next build", "after_last": "1 lb"},
                "lines": [{"item": "White", "parts": "1/3", "flour": true},
                    {"item": "water", "parts": "1/3"},
                    {"item": "Levain", "parts": "1/15", "previous_batch": true}]},
            {"id": "Dough", "driver": "mass", "bakers_percent": true, "class": "lean",
                "mixer": "Big", "made": {"route": "Way", "step": "weigh", "drop": "07:00"},
                "age_window": {"min": "8 h", "max": "48 h"}, "divide": {"day": -1, "time": "13:00"},
                "lines": [{"item": "White", "parts": "100", "flour": true, "precision": "0.005"},
                    {"item": "water", "parts": "60"}, {"item": "zest", "parts": "0.2"}]},
            {"id": "Laminated", "driver": "blocks", "base": "Dough", "sheet": "sheet",
                "sheet_mass": "1000 g", "ratio": "0.28", "block_step": "2",
                "made": {"day": -1, "time": "08:00"}},
            {"id": "Custard", "driver": "batch", "step": "0.5", "soaker": false,
                "made": {"day": -1, "time": "06:00"}, "life": "48 h",
                "lines": [{"item": "Milk_whole", "qty": "1 qt"}, {"item": "egg", "qty": "6 each"},
                    {"item": "mystery", "qty": "1/2 lb", "in_bowl": false}]}],
        "products": [
            {"id": "Loaf", "dough": "Dough", "reject": "0.02", "test_pieces": 1,
                "overs": {"policy": "pack", "multiple": 6}, "route": "Way",
                "tray": {"pieces": 12, "group": "t"}, "bakes_to": "800 g",
                "make_up": [{"item": "Dough", "qty": "2 lb"},
                    {"item": "Custard", "qty": "0.1 batch"},
                    {"item": "juice", "qty": "3 g", "per": "tray", "at": {"day": 0, "time": "04:17"}}]},
            {"id": "Toast", "reject": "0", "make_up": [
                {"product": "Loaf", "qty": "1 each", "day_offset": -1},
                {"item": "White", "qty": "4 g"}]},
            {"id": "Puff", "reject": "1/50", "make_up": [{"item": "Laminated", "qty": "80 g"}]}],
        "routes": [{"id": "Way", "limits": [{"steps": ["cold"], "max": "48 h"}], "steps": [
            {"step": "weigh", "minutes": 40, "staff": "Oven"},
            {"step": "mix", "per_load": 18, "between": 5},
            {"step": "cold", "window": ["12 h", "48 h"], "start_staff": "Oven"}]}],
        "allergen_checks": [{"product": "Loaf", "swap": {"Milk_whole": "water"}}],
        "horizons": [
            {"id": "one", "now": "2026-06-10T09:30:00+02:00", "service_dates": ["2026-06-12"],
                "orders": [{"service_date": "2026-06-12", "product": "Loaf",
                    "by_customer": {"A": 0, "B_two": -3}},
                    {"service_date": "2026-06-12", "product": "Toast", "by_customer": {"A": 2.5}}],
                "par": [{"service_date": "2026-06-12", "product": "Puff", "pieces": 20}],
                "finished_stock": [{"product": "Loaf", "quantity": 5, "baked": "2026-06-11",
                    "usable_until": "2026-06-12", "state": "expected", "use": "ingredient"}],
                "dough_stock": [{"formula": "Dough"}],
                "lots": [{"item": "White", "lot": "W 1", "quantity": "50 lb",
                    "received": "2026-06-01", "date": "2026-08-01", "state": "hold"},
                    {"item": "egg", "lot": "E", "quantity": "-3 each", "received": "2026-06-01"},
                    {"item": "Milk_whole", "lot": "M", "quantity": "1 gal", "date": "2026-06-14",
                        "date_kind": "use-by", "received": "2026-06-09"}],
                "back_schedule": [], "recalls": [{"lot": "W 1"}], "history_loads": []},
            {"id": "two", "same_as": "one", "now": "2026-06-10T12:00:00+02:00", "lots": []}]
    })
}

#[test]
fn everything_that_a_scenario_may_say_is_read() {
    let read = Scenario::read(&scenario()).expect("a scenario");
    let bytes = serde_json::to_vec(&read.bakery).expect("JSON");
    let Ok(body) = decode::<BakeryBody>(&bytes) else {
        panic!("the bakery is no bakery document: {}", read.bakery);
    };
    if let Err(faults) = body.compile() {
        panic!("{faults:#?}");
    }
    assert_eq!(read.codes.name("b-two"), "B_two");
    assert_eq!(read.codes.known("Milk_whole").expect("a code"), "milk-whole");
    // Parts of 1/3, 1/3 and 1/15 are sent fifteen times as large.
    let levain = &read.bakery["formulas"][0]["lines"];
    let parts: Vec<_> = (0..3).filter_map(|line| levain[line]["parts"].as_str()).collect();
    assert_eq!(parts, ["5", "5", "1"]);
    assert!(read.rounded.is_empty(), "{:?}", read.rounded);
    for (what, count) in [
        ("aged dough in stock", 2),
        ("recall question", 2),
        ("divide time of an aged dough", 1),
        ("lot with a negative book balance", 1),
        ("oven deck by pieces", 1),
    ] {
        assert_eq!(read.not_sent.get(what), Some(&count), "{what}");
    }
}

#[test]
fn orders_and_stock_of_a_horizon_become_bodies() {
    let read = Scenario::read(&scenario()).expect("a scenario");
    let [one, two] = read.horizons.as_slice() else { panic!("two horizons") };
    assert_eq!(one.orders.len(), 3, "two customers and the counter");
    assert_eq!(one.orders[0]["lines"][0]["quantity"], json!(0));
    assert_eq!(one.orders[0]["lines"][1]["quantity"], json!(2.5));
    assert_eq!(one.orders[1]["lines"][0]["quantity"], json!(-3));
    assert_eq!(one.receipts.len(), 3, "two lots and finished stock");
    assert_eq!(one.receipts[1]["quantity"], json!({"amount": "3785.411784", "unit": "mL"}));
    assert_eq!(one.receipts[1]["use_by"], "2026-06-14");
    assert_eq!(one.receipts[2]["use"], "ingredient");
    assert_eq!(two.now, "2026-06-10T12:00:00+02:00");
    assert_eq!((two.orders.len(), two.receipts.len()), (3, 1), "the same but for its lots");
}

#[test]
fn an_unknown_key_anywhere_stops_the_reading_and_is_named() {
    for place in [
        "/site",
        "/customers/0",
        "/ingredients/0/pack",
        "/formulas/1/lines/0",
        "/products/0/make_up/0",
        "/routes/0/steps/0",
        "/horizons/0/lots/0",
        "/horizons/0",
    ] {
        let mut other = scenario();
        other.pointer_mut(place).expect("the place")["colour"] = json!("brown");
        let failure = format!("{:#}", Scenario::read(&other).expect_err(place));
        assert!(failure.contains("nobody reads: colour"), "{place}: {failure}");
    }
}
