//! Cases 17, 18, 20, 22 and 23: substitutes, made or bought, holidays, prices per stated pack.

use super::{NOW, SERVICE_DATE, batch, equal, house, order, serve};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo, server::Server};

fn grams(amount: i64) -> Value {
    json!({"amount": amount.to_string(), "unit": "g"})
}

fn bought(code: &str) -> Value {
    json!({"code": code, "kind": "bought", "base_unit": "g", "allergens_known": true})
}

/// `factor` grams of `by` for one of `item`.
fn substitute(item: &str, by: &str, factor: i64) -> Value {
    json!({"code": format!("{by}-for-{item}"), "item": item, "per": grams(1),
           "use": [{"item": by, "quantity": grams(factor)}], "approved": true})
}

/// Ten loaves of a flour that is not there, of which `others` are substitutes.
fn short(others: &[&str], substitutes: &[Value]) -> Result<Server> {
    let bakery = house(|bakery| {
        if let Some(items) = bakery["items"].as_array_mut() {
            items.extend(others.iter().map(|code| bought(code)));
        }
        bakery["substitutes"] = json!(substitutes);
    });
    let server = serve(&bakery, NOW)?;
    server.client().post_order(&order(1, SERVICE_DATE, "loaf", 10))?.success()?;
    Ok(server)
}

fn receive(client: &Client, item: &str, quantity: Value) -> Result<()> {
    let lot = json!({"item": item, "lot": format!("{item}-1"), "quantity": quantity,
        "received": "2026-06-10"});
    client.post_receipt(&lot)?.success()?;
    Ok(())
}

/// Substitute levers of an item: code, what it covers, whether that is enough.
fn levers(client: &Client, item: &str) -> Result<Vec<Value>> {
    let sheet = client.shortages(SERVICE_DATE)?;
    let groups = sheet["groups"].as_array().context("groups")?;
    let mut lines = groups.iter().flat_map(|group| group["lines"].as_array().into_iter().flatten());
    let line = lines.find(|line| line["item"] == item).with_context(|| format!("{sheet}"))?;
    let levers = line["levers"].as_array().context("levers")?;
    let said = |one: &Value| json!([one["substitute"], one["frees"]["amount"], one["enough"]]);
    Ok(levers.iter().map(said).collect())
}

#[test]
fn case_17_no_chain_of_substitutes_and_no_product_of_factors() -> Result<()> {
    // flour -> b (2 for 1) and b -> c (3 for 1); b is out as well, c is there in plenty.
    let pairs = [substitute("flour", "b", 2), substitute("b", "c", 3)];
    let server = short(&["b", "c"], &pairs)?;
    receive(server.client(), "c", json!({"amount": "100", "unit": "kg"}))?;
    // 10 kg of dough are 6 666.67 g of flour and half as much water.
    equal(&json!(levers(server.client(), "flour")?), &json!([["b-for-flour", "0", false]]))?;
    // Only an approved pair of its own leads to c, by its own factor.
    let pairs = [pairs[0].clone(), pairs[1].clone(), substitute("flour", "c", 1)];
    let server = short(&["b", "c"], &pairs)?;
    receive(server.client(), "c", json!({"amount": "100", "unit": "kg"}))?;
    let found = levers(server.client(), "flour")?;
    ensure!(found.len() == 2 && found[0][0] == "b-for-flour" && found[0][2] == false, "{found:?}");
    ensure!(found[1][0] == "c-for-flour" && found[1][2] == true, "{found:?}");
    Ok(())
}

#[test]
fn case_18_two_items_for_each_other_are_no_loop_and_both_stand_on_the_sheet() -> Result<()> {
    let pairs = [substitute("flour", "b", 1), substitute("b", "flour", 1)];
    let bakery = house(|bakery| {
        if let Some(items) = bakery["items"].as_array_mut() {
            items.push(bought("b"));
        }
        if let Some(lines) = bakery["products"][0]["make_up"].as_array_mut() {
            lines.push(json!({"item": "b", "quantity": grams(10)}));
        }
        bakery["substitutes"] = json!(pairs);
    });
    let server = serve(&bakery, NOW)?;
    server.client().post_order(&order(1, SERVICE_DATE, "loaf", 10))?.success()?;
    for (item, lever) in [("flour", "b-for-flour"), ("b", "flour-for-b")] {
        equal(&json!(levers(server.client(), item)?), &json!([[lever, "0", false]]))?;
    }
    // Each is an exception on the board of the date on which it is taken.
    for (date, what) in [("2026-06-11", "flour: 6.67 kg short"), ("2026-06-12", "b: 100 g short")] {
        let board = server.client().get(&format!("/v1/work-dates/{date}/day-board"))?.success()?;
        ensure!(board["exceptions"].to_string().contains(what), "{board}");
    }
    Ok(())
}

/// Loaves with peel on top, which can be made of fruit and sugar or bought; `change` says how.
fn peel(change: impl FnOnce(&mut Value)) -> Result<Server> {
    let bakery = house(|bakery| {
        let named = |code: &str, contains: &str| {
            let mut item = bought(code);
            item["contains"] = json!([contains]);
            item
        };
        let mut peel = named("peel", "sulphites");
        peel["supply"] = json!("cheapest");
        if let Some(items) = bakery["items"].as_array_mut() {
            items.extend([peel, named("fruit", "fruit-kind"), bought("sugar")]);
        }
        bakery["suppliers"] = json!([{"code": "grocer", "time_zone": "Europe/Amsterdam", "working_days": [], "minimum_order": eur(0),
            "below_minimum": "refused", "carriage": eur(0), "deliveries": []}]);
        bakery["packs"] = json!([
            pack("peel", 1_000, eur(500)),
            pack("fruit", 1_000, eur(300)),
            pack("sugar", 1_000, eur(100)),
        ]);
        // Half fruit, half sugar, a fifth of it lost: 2.00 a kilogram in, 2.50 out.
        if let Some(formulas) = bakery["formulas"].as_array_mut() {
            formulas.push(
                json!({"code": "peel", "base": "parts", "made": {"day": -2, "time": "11:00"},
                "lines": [{"item": "fruit", "parts": "1"}, {"item": "sugar", "parts": "1"}],
                "losses": [{"stage": "cook", "percent": "20"}]}),
            );
        }
        if let Some(lines) = bakery["products"][0]["make_up"].as_array_mut() {
            lines.push(json!({"item": "peel", "quantity": grams(100)}));
        }
        change(bakery);
    });
    let server = serve(&bakery, NOW)?;
    server.client().post_order(&order(1, SERVICE_DATE, "loaf", 10))?.success()?;
    Ok(server)
}

fn eur(minor_units: i64) -> Value {
    json!({"minor_units": minor_units, "currency": "EUR"})
}

fn pack(item: &str, holds: i64, price: Value) -> Value {
    json!({"code": format!("{item}-bag"), "item": item, "supplier": "grocer",
           "holds": grams(holds), "price": price})
}

/// Needs of an item for the service date, and what the loaf contains.
fn source(server: &Server) -> Result<(bool, bool, Vec<String>)> {
    let requirements = server.client().requirements(SERVICE_DATE)?;
    let needs = requirements["needs"].as_array().context("needs")?;
    let drawn = needs.iter().any(|need| need["item"] == "peel");
    let made = batch(&requirements, "peel").is_ok();
    let found = server.client().get("/v1/products/loaf/allergens")?.success()?;
    let words = found["contains"].as_array().context("contains")?;
    Ok((made, drawn, words.iter().filter_map(Value::as_str).map(str::to_owned).collect()))
}

#[test]
fn case_20_what_is_made_and_bought_goes_the_cheaper_way_of_its_date() -> Result<()> {
    // Made at 2.50 a kilogram, bought at 5.00.
    equal(&json!(source(&peel(|_| ())?)?), &json!([true, false, ["fruit-kind"]]))?;
    // Bought at 2.50 it costs the same: nobody works for nothing.
    let same = peel(|bakery| bakery["packs"][0] = pack("peel", 1_000, eur(250)))?;
    equal(&json!(source(&same)?), &json!([false, true, ["sulphites"]]))?;
    // A price that starts a day later decides from that day on.
    let later = peel(|bakery| {
        bakery["packs"][0]["prices"] = json!([{"valid_from": "2026-06-13", "price": eur(200)}]);
    })?;
    ensure!(source(&later)?.0, "made on the date before");
    let mut after = order(1, "2026-06-13", "loaf", 10);
    after["order_ref"] = json!("bar-2");
    later.client().post_order(&after)?.success()?;
    let requirements = later.client().requirements("2026-06-13")?;
    ensure!(batch(&requirements, "peel").is_err(), "bought from the date on: {requirements}");
    let needs = requirements["needs"].as_array().context("needs")?;
    ensure!(needs.iter().any(|need| need["item"] == "peel"), "{requirements}");
    // A rule of its own goes before prices.
    for (rule, made) in [("made", true), ("bought", false)] {
        let ruled = peel(|bakery| {
            let items = bakery["items"].as_array_mut().into_iter().flatten();
            for item in items.filter(|item| item["code"] == "peel") {
                item["supply"] = json!(rule);
            }
            bakery["packs"][0] = pack("peel", 1_000, eur(if made { 1 } else { 9_900 }));
        })?;
        ensure!(source(&ruled)?.0 == made, "{rule}");
    }
    Ok(())
}

#[test]
fn case_20_undecided_is_said_and_has_the_allergens_of_both() -> Result<()> {
    // Nobody knows what the fruit costs.
    let server = peel(|bakery| {
        if let Some(packs) = bakery["packs"].as_array_mut() {
            packs.retain(|pack| pack["item"] != "fruit");
        }
    })?;
    equal(&json!(source(&server)?), &json!([false, true, ["fruit-kind", "sulphites"]]))?;
    let requirements = server.client().requirements(SERVICE_DATE)?;
    let notes = requirements["notes"].to_string();
    ensure!(notes.contains("UNDECIDED") && notes.contains("peel"), "{notes}");
    Ok(())
}

#[test]
fn case_20_is_decided_through_forty_levels_that_each_take_the_one_below_twice() -> Result<()> {
    // Walked line by line this is 2^40 steps, and no request would ever be answered.
    const LEVELS: usize = 40;
    let level = |number: usize| format!("level-{number}");
    let bakery = house(|bakery| {
        let cheapest = (1..=LEVELS).map(|number| {
            let mut item = bought(&level(number));
            item["supply"] = json!("cheapest");
            item
        });
        if let Some(items) = bakery["items"].as_array_mut() {
            items.extend([bought(&level(0)), bought("sugar")].into_iter().chain(cheapest));
        }
        bakery["suppliers"] = json!([{"code": "grocer", "time_zone": "Europe/Amsterdam", "working_days": [], "minimum_order": eur(0),
            "below_minimum": "refused", "carriage": eur(0), "deliveries": []}]);
        // Made it costs what the lowest costs, 1.00 a kilogram, however often it is made over.
        let dear = (1..=LEVELS).map(|number| pack(&level(number), 1_000, eur(101)));
        let packs = [pack(&level(0), 1_000, eur(100))].into_iter().chain(dear);
        bakery["packs"] = packs.collect();
        if let Some(formulas) = bakery["formulas"].as_array_mut() {
            formulas.extend((1..=LEVELS).map(|number| {
                let below = json!({"item": level(number - 1), "parts": "1"});
                json!({"code": level(number), "base": "parts", "lines": [below, below],
                       "made": {"day": -2, "time": "11:00"}})
            }));
        }
        if let Some(lines) = bakery["products"][0]["make_up"].as_array_mut() {
            lines.push(json!({"item": level(LEVELS), "quantity": grams(100)}));
        }
    });
    let server = serve(&bakery, NOW)?;
    server.client().post_order(&order(1, SERVICE_DATE, "loaf", 10))?.success()?;
    let requirements = server.client().requirements(SERVICE_DATE)?;
    for number in 1..=LEVELS {
        batch(&requirements, &level(number))?;
    }
    for statement in ["allergens", "label", "nutrition", "cost"] {
        let path = format!("/v1/products/loaf/{statement}?service_date={SERVICE_DATE}");
        let reply = server.client().get(&path)?;
        ensure!(reply.status < 500, "{path}: {}", reply.text());
    }
    Ok(())
}

#[test]
fn case_22_a_delivery_on_a_holiday_moves_and_is_told_at_the_cutoff_before() -> Result<()> {
    // Source: alder-yard.md 8.6: Friday 11:00 brings Monday's delivery on Tuesday 16 June.
    let server = demo::serve(&demo::document("bakery")?)?.at("2026-06-12T10:00:00+02:00")?;
    let mut late = order(1, "2026-06-16", "sugar-bun", 400);
    late["customer"] = json!("pier-hotel");
    server.client().post_order(&late)?.success()?;
    let sheet = server.client().shortages("2026-06-16")?;
    let notes = sheet["notes"].to_string();
    ensure!(notes.contains("no delivery on Mon 15 Jun; it comes Tue 16 Jun 06:00"), "{notes}");
    let groups = sheet["groups"].as_array().context("groups")?;
    let dairy = groups.iter().find(|group| group["supplier"] == "dairy").context("dairy")?;
    let lines = dairy["lines"].as_array().context("lines")?;
    // Milk of Monday's mix can no longer come with Monday's van: its latest moment is earlier.
    let milk = lines.iter().find(|line| line["item"] == "whole-milk").context("milk")?;
    let arrives = milk["arrives"].as_str();
    ensure!(arrives.is_none_or(|at| !at.starts_with("2026-06-15")), "{milk}");
    // Without a rule on file nothing is assumed: it is not counted, and somebody must ask.
    let mut bakery = demo::document("bakery")?;
    let suppliers = bakery["suppliers"].as_array_mut().into_iter().flatten();
    for supplier in suppliers.filter(|supplier| supplier["code"] == "dairy") {
        supplier["delivery_on_holiday"] = json!("ask");
    }
    let asking = demo::serve(&bakery)?;
    let notes = asking.client().shortages("2026-06-16")?["notes"].to_string();
    ensure!(notes.contains("ask") && notes.contains("Mon 15 Jun"), "{notes}");
    Ok(())
}

#[test]
fn case_23_a_price_per_stated_pack_is_never_rounded_to_a_unit_price() -> Result<()> {
    // 7 g of flour in a loaf of it alone, at 3125 cents for 12.5 kg: 1.75 cents a piece.
    let bakery = house(|bakery| {
        bakery["suppliers"] = json!([{"code": "grocer", "time_zone": "Europe/Amsterdam", "working_days": [], "minimum_order": eur(0),
            "below_minimum": "refused", "carriage": eur(0), "deliveries": []}]);
        bakery["packs"] = json!([pack("flour", 12_500, eur(3_125))]);
        bakery["products"][0] = json!({"code": "loaf", "reject": "0",
            "make_up": [{"item": "flour", "quantity": grams(7)}]});
    });
    let server = serve(&bakery, NOW)?;
    let mut thousand = order(1, SERVICE_DATE, "loaf", 1_000);
    thousand["order_ref"] = json!("bar-thousand");
    server.client().post_order(&thousand)?.success()?;
    let cost = server
        .client()
        .get(&format!("/v1/products/loaf/cost?service_date={SERVICE_DATE}"))?
        .success()?;
    ensure!(cost["per_good_piece"]["minor_units_exact"] == "1.750000", "{cost}");
    let day = server.client().get(&format!("/v1/service-dates/{SERVICE_DATE}/costs"))?.success()?;
    ensure!(day["total"]["minor_units"] == 1_750, "{day}");
    Ok(())
}
