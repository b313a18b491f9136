//! A scenario with everything that the format allows, and what becomes of it.

use super::*;
use weighhouse::document::{BakeryBody, decode};

/// Names with capitals and underscores, foreign units, fractions, every driver.
fn scenario() -> Value {
    serde_json::from_str(include_str!("everything.json")).expect("a document")
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
    let what = "oven deck by pieces";
    assert_eq!(read.not_sent.get(what), Some(&1), "{what}");
}

#[test]
fn orders_and_stock_of_a_horizon_become_bodies() {
    let read = Scenario::read(&scenario()).expect("a scenario");
    let [one, two] = read.horizons.as_slice() else { panic!("two horizons") };
    assert_eq!(one.orders.len(), 3, "two customers and the counter");
    assert_eq!(one.orders[0]["lines"][0]["quantity"], json!(0));
    assert_eq!(one.orders[0]["lines"][1]["quantity"], json!(2.5));
    assert_eq!(one.orders[1]["lines"][0]["quantity"], json!(-3));
    assert_eq!(one.receipts.len(), 5, "three lots, finished stock and kept dough");
    assert_eq!(one.receipts[2]["quantity"], json!({"amount": "3785.411784", "unit": "mL"}));
    assert_eq!(one.receipts[2]["use_by"], "2026-06-14");
    assert_eq!(one.receipts[3]["use"], "ingredient");
    assert_eq!(one.receipts[4]["made_at"], "2026-06-10T11:00:00+02:00");
    assert_eq!(one.doughs, ["dough-1"]);
    let [past] = one.past_loads.as_slice() else { panic!("one load of the past") };
    assert_eq!(
        past["took"][0],
        json!({"item": "white", "lot": "W 1",
        "quantity": {"amount": "1000", "unit": "g"}})
    );
    assert_eq!(past["gave"][0]["quantity"], json!({"amount": "2000", "unit": "g"}));
    assert_eq!(read.bakery["formulas"][1]["divide"], json!({"day": -1, "time": "13:00"}));
    assert_eq!(two.now, "2026-06-10T12:00:00+02:00");
    assert_eq!((two.orders.len(), two.receipts.len()), (3, 2), "the same but for its lots");
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
