//! Over-age lots: STOP in words, with what can be done and what it costs, on every sheet of
//! the work that would take them.

use super::{BEFORE, FRIDAY, Yard, bakery};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};

/// What stands in a stop: its sheet, and the words that it must have.
fn says(yard: &Yard, date: &str, sheets: &[&str], words: &[&str]) -> Result<()> {
    for sheet in sheets {
        let page = yard.page(date, sheet)?;
        for word in words {
            ensure!(page.contains(word), "the {sheet} of {date} says no {word:?}: {page}");
        }
    }
    Ok(())
}

fn silent(yard: &Yard, date: &str, sheets: &[&str], words: &str) -> Result<()> {
    for sheet in sheets {
        let page = yard.page(date, sheet)?;
        ensure!(!page.contains(words), "the {sheet} of {date} says {words:?}: {page}");
    }
    Ok(())
}

const SHEETS: [&str; 4] = ["mix-sheet", "pick-list", "weigh-out", "day-board"];

/// A bakery with a price, and a dough that may take old dough.
fn priced() -> Result<Value> {
    let mut bakery = bakery();
    bakery["suppliers"] = json!([{"code": "mill", "name": "Mill", "time_zone": "Europe/Amsterdam",
        "delivery_on_holiday": "ask", "below_minimum": "carriage", "deliveries": [], "holidays": [],
        "minimum_order": {"minor_units": 0, "currency": "EUR"},
        "carriage": {"minor_units": 0, "currency": "EUR"}}]);
    let pack = |item: &str, kilograms: &str, cents: i64| {
        json!({"code": format!("{item}-pack"), "item": item, "supplier": "mill",
            "holds": {"amount": kilograms, "unit": "kg"},
            "price": {"minor_units": cents, "currency": "EUR"}})
    };
    bakery["packs"] = json!([pack("white", "25", 2500), pack("milk", "1", 100)]);
    let formulas = bakery["formulas"].as_array_mut().context("formulas")?;
    formulas.push(json!({"code": "rustic", "base": "parts", "made": {"day": -1, "time": "14:00"},
        "lines": [{"item": "white", "parts": "100", "flour": true}, {"item": "water", "parts": "60"},
            {"item": "dough", "parts": "10", "previous_batch": true, "old_dough":
                {"age": {"least": "PT8H", "most": "PT72H"}, "maximum": "30"}}]}));
    let products = bakery["products"].as_array_mut().context("products")?;
    products.push(super::product("rustic-loaf", "rustic", "850"));
    Ok(bakery)
}

/// Two tubs of dough, two seconds and one second too old for the divide on Thursday 13:00. One
/// of them is drawn as old dough; the other is over.
///
/// 20 loaves of 850 g are 17 000 g of rustic: 10 000 g of flour, which may take 3 000 g of old
/// dough and is given 1 000 g of the older tub. Of what is left, white 100 of 160 parts at 1.00
/// a kilogram: 1 000 g cost 0.625, rounded to 0.63.
///
/// # Source
/// Trade.md 2.7: above max "not usable for product (lever: old dough up to its limit, or
/// waste)"; 6: on any over-age line STOP in words.
#[test]
fn an_over_age_dough_says_stop_with_its_levers_where_it_would_be_used() -> Result<()> {
    let yard = Yard::open(BEFORE, &priced()?)?;
    yard.order("roll", 20)?;
    yard.order("rustic-loaf", 20)?;
    let yard = yard.at("2026-06-11T09:30:00+02:00")?;
    for (name, grams, made_at) in [
        ("drawn", "1000", "2026-06-09T12:59:58+02:00"),
        ("over", "1000", "2026-06-09T12:59:59+02:00"),
    ] {
        yard.lot("dough", name, grams, &json!({"made_at": made_at, "place": "chiller"}))?;
    }
    let stop = "STOP: dough, lot over (1 kg, Chiller), is over its age since Thu 11 Jun 12:59";
    let words = [
        stop,
        "old dough for rustic until Fri 12 Jun 12:59: at most 30 % of its new flour",
        "what is planned of it takes up to 1.00 kg",
        "write it off as waste",
        "0.63 EUR at list prices",
    ];
    says(&yard, "2026-06-11", &SHEETS, &words)?;
    silent(&yard, "2026-06-11", &SHEETS, "lot drawn (")?;
    // Friday's work takes none of it.
    silent(&yard, FRIDAY, &SHEETS, "STOP: dough")?;
    let board = yard.sheet("2026-06-11", "day-board")?;
    let first = &board["exceptions"][0];
    ensure!(first["by"] == "age" && first["act_by"].is_null(), "{board}");
    ensure!(first["levers"][1]["cost"] == "0.63 EUR at list prices", "{first}");
    let fridge = yard.sheet("2026-06-11", "fridge")?;
    let states: Vec<_> = fridge["lots"].as_array().context("lots")?.iter().collect();
    ensure!(states.iter().any(|lot| lot["lot"] == "over"), "{fridge}");
    Ok(())
}

/// Levain past its 14 h and custard past its 48 h say so too, on the sheets of the work that
/// would take them; a custard past a best-before may be accepted by a named person.
///
/// # Source
/// Trade.md 2.7 (window after the feed), 4 (past best-before needs a named person's decision).
#[test]
fn levain_and_custard_that_are_too_old_say_stop() -> Result<()> {
    let yard = Yard::open(BEFORE, &priced()?)?;
    yard.order("loaf", 10)?;
    yard.order("tart", 10)?;
    let yard = yard.at("2026-06-11T09:30:00+02:00")?;
    // 25 h and 14 h and a second at Thursday 11:00; the seed lives 24 h.
    yard.lot("levain", "LV", "500", &json!({"made_at": "2026-06-10T10:00:00+02:00"}))?;
    yard.lot("custard", "CU", "500", &json!({"made_at": "2026-06-10T04:59:59+02:00"}))?;
    let best = json!({"made_at": "2026-06-10T06:00:00+02:00", "best_before": "2026-06-11"});
    yard.lot("custard", "BB", "200", &best)?;
    says(&yard, "2026-06-11", &SHEETS, &["STOP: levain, lot LV", "write it off as waste"])?;
    // The tarts are filled on Friday at 05:00.
    silent(&yard, "2026-06-11", &SHEETS, "lot CU")?;
    says(&yard, FRIDAY, &SHEETS, &["STOP: custard, lot CU", "STOP: custard, lot BB"])?;
    says(&yard, FRIDAY, &SHEETS, &["a named person looks at it and accepts it to a last day"])?;
    // Custard: 250 g of milk at 1.00 and 250 g of flour at 1.00 a kilogram, in at 0.8.
    says(&yard, FRIDAY, &SHEETS, &["at list prices"])?;
    Ok(())
}

/// A house with frozen, par-baked and day-old goods.
fn kept_goods() -> Result<Value> {
    let mut house = priced()?;
    house["site"]["teams"] = json!([{"code": "oven", "from": "02:00", "to": "10:00"}]);
    house["routes"] = json!([{"code": "finish", "limits": [], "steps": [
        {"step": "temper", "minutes": 60}, {"step": "bake", "minutes": 12, "team": "oven"},
        {"step": "cool", "minutes": 20}, {"step": "drive", "minutes": 10}]}]);
    let products = house["products"].as_array_mut().context("products")?;
    products[0]["par_baked"] =
        json!({"route": "finish", "age_window": {"least": "PT12H", "most": "P7D"}});
    products[1]["thaw"] = json!("PT3H");
    products.push(json!({"code": "twice-baked", "reject": "0",
        "make_up": [{"product": "milk-bun", "pieces": 1, "day_offset": -1}]}));
    Ok(house)
}

fn pieces(yard: &Yard, item: &str, lot: &str, more: &Value) -> Result<()> {
    let mut receipt = json!({"item": item, "lot": lot, "received": "2026-06-05",
        "quantity": {"amount": "10", "unit": "each"}});
    let (map, more) = (receipt.as_object_mut().context("a map")?, more.as_object());
    map.extend(more.context("more of it")?.clone());
    yard.client().post_receipt(&receipt)?.success().with_context(|| format!("{lot} is refused"))?;
    Ok(())
}

/// # Source
/// Trade.md 2.7 and 2.12: for each kept thing ready from, best, last; frozen and par-baked are
/// products in process with a life of their own; R30 for what "day-old" is.
#[test]
fn kept_pieces_stand_on_the_fridge_sheet_with_ready_and_last() -> Result<()> {
    let yard = Yard::open(BEFORE, &kept_goods()?)?;
    for (product, drop) in [("roll", "08:00"), ("stick", "09:00"), ("twice-baked", "07:00")] {
        yard.order_for(FRIDAY, drop, product, 5)?;
    }
    let yard = yard.at("2026-06-12T04:00:00+02:00")?;
    let freezer =
        |made_at: &str| json!({"use": "par_baked", "place": "freezer", "made_at": made_at});
    pieces(&yard, "roll", "young", &freezer("2026-06-11T20:00:00+02:00"))?;
    pieces(&yard, "roll", "good", &freezer("2026-06-08T10:00:00+02:00"))?;
    pieces(&yard, "roll", "old", &freezer("2026-06-05T03:59:59+02:00"))?;
    let frozen = json!({"place": "freezer", "baked": "2026-06-01", "use_by": "2026-07-01"});
    pieces(&yard, "stick", "FZ", &frozen)?;
    for (lot, baked) in [("DO", "2026-06-11"), ("late", "2026-06-10")] {
        pieces(&yard, "milk-bun", lot, &json!({"use": "ingredient", "baked": baked}))?;
    }
    let fridge = yard.sheet(FRIDAY, "fridge")?;
    let rows = fridge["pieces"].as_array().context("pieces")?;
    let row = |lot: &str| rows.iter().find(|row| row["lot"] == lot).context("a row");
    let is = |lot: &str, kept_as: &str, state: &str, ready: Value, last: Value| -> Result<()> {
        let found = row(lot)?;
        let figures = (&found["kept_as"], &found["state"], &found["ready_from"], &found["last"]);
        ensure!(figures == (&json!(kept_as), &json!(state), &ready, &last), "{found}");
        Ok(())
    };
    let at = |text: &str| json!(format!("2026-06-{text}:00+02:00"));
    is("young", "par-baked", "not ready", at("12T08:00"), at("18T20:00"))?;
    is("good", "par-baked", "ready", at("08T22:00"), at("15T10:00"))?;
    let old = json!("2026-06-12T03:59:59+02:00");
    is("old", "par-baked", "STOP", json!("2026-06-05T15:59:59+02:00"), old)?;
    // Three hours to thaw, if they are taken out now.
    is("FZ", "frozen", "not ready", at("12T07:00"), json!("2026-07-01T23:59:59+02:00"))?;
    is("DO", "day-old", "ready", at("11T00:00"), json!("2026-06-12T23:59:59+02:00"))?;
    is("late", "day-old", "STOP", at("10T00:00"), json!("2026-06-11T23:59:59+02:00"))?;
    ensure!(row("good")?["covers"] == json!([{"service_date": FRIDAY, "pieces": 5}]), "{fridge}");
    let into = json!([{"service_date": FRIDAY, "by": ["twice-baked"]}]);
    ensure!(row("DO")?["goes_into"] == into && row("late")?["goes_into"] == json!([]), "{fridge}");
    let page = yard.page(FRIDAY, "fridge")?;
    for words in ["STOP: roll, lot old, is over its age", "par-baked", "day-old", "frozen"] {
        ensure!(page.contains(words), "{words}: {page}");
    }
    Ok(())
}

/// Where orders of the date would take them they are stopped on all sheets; without an order
/// on the fridge sheet alone.
#[test]
fn over_age_pieces_say_stop_where_an_order_would_take_them() -> Result<()> {
    let yard = Yard::open("2026-06-12T04:00:00+02:00", &kept_goods()?)?;
    let old =
        json!({"use": "par_baked", "place": "freezer", "made_at": "2026-06-05T03:59:59+02:00"});
    pieces(&yard, "roll", "old", &old)?;
    pieces(&yard, "milk-bun", "late", &json!({"use": "ingredient", "baked": "2026-06-10"}))?;
    silent(&yard, FRIDAY, &SHEETS, "is over its age")?;
    let yard = yard.at(BEFORE)?;
    yard.order_for(FRIDAY, "08:00", "roll", 5)?;
    yard.order_for(FRIDAY, "08:00", "twice-baked", 5)?;
    let yard = yard.at("2026-06-12T04:00:00+02:00")?;
    let roll = "STOP: roll, lot old (10 pieces, Freezer), is over its age since Fri 12 Jun 03:59";
    says(&yard, FRIDAY, &SHEETS, &[roll, "STOP: milk-bun, lot late"])?;
    says(&yard, FRIDAY, &SHEETS, &["write it off as waste"])?;
    // Ten rolls of 500 g of dough after 5 % of scrap, 100 of 160 parts flour at 1.00 a
    // kilogram: 3.289 EUR.
    says(&yard, FRIDAY, &SHEETS, &["3.29 EUR at list prices"])?;
    let rolls = yard.client().requirements(FRIDAY)?;
    ensure!(rolls["pieces"][0]["from_stock"] == 0, "nothing of it is used: {rolls}");
    Ok(())
}
