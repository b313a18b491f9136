//! When everything happens: the schedule of a service date, through the public API.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{
    demo::{self, document},
    server::Server,
};

const FRIDAY: &str = "2026-06-12";

/// Fails unless two values are equal, and shows both.
fn equal(found: &Value, expected: &Value) -> Result<()> {
    ensure!(found == expected, "expected {expected}, found {found}");
    Ok(())
}

/// The only element of a list with a text.
fn find<'a>(list: &'a Value, key: &str, text: &str) -> Result<&'a Value> {
    let found = list.as_array().context("a list")?.iter().find(|row| row[key] == text);
    found.with_context(|| format!("no {key} {text} in {list}"))
}

#[test]
fn the_demo_day_has_a_time_and_a_place_for_everything() -> Result<()> {
    let server = demo::serve(&document("bakery")?)?;
    let schedule = server.client().schedule(FRIDAY)?;
    // Source: alder-yard 8.9 E, to the minute.
    let custard = find(&schedule["products"], "product", "custard-bun")?;
    let starts: Vec<&str> = custard["steps"]
        .as_array()
        .context("steps")?
        .iter()
        .filter_map(|step| step["start"].as_str())
        .map(|start| &start[8..16])
        .collect();
    let expected = [
        "10T12:54", "10T13:34", "10T14:15", "10T15:00", "11T13:15", "11T13:45", "11T15:00",
        "12T02:17", "12T04:17", "12T04:29", "12T04:45", "12T05:45", "12T06:10", "12T06:30",
        "12T06:40",
    ];
    ensure!(starts == expected, "{starts:?}");
    // Source: alder-yard 8.7: both breads are mixed at 11:00 in one mixer; common practice:
    // the second follows when the bowl is washed.
    let country = find(&schedule["batches"], "item", "country")?;
    let seed = find(&schedule["batches"], "item", "seed")?;
    equal(&country["made_at"], &json!("2026-06-11T11:00:00+02:00"))?;
    equal(&country["loads"][1]["end"], &json!("2026-06-11T11:21:00+02:00"))?;
    equal(&seed["loads"][0]["start"], &json!("2026-06-11T11:31:00+02:00"))?;
    for product in schedule["products"].as_array().context("products")? {
        equal(&product["no_fit"], &Value::Null)?;
        ensure!(product["bakes"][0]["start"].is_string(), "{product} has no deck");
    }
    let notes = schedule["notes"].to_string();
    ensure!(!notes.contains("no place") && !notes.contains("no time"), "{notes}");
    Ok(())
}

#[test]
fn a_drop_that_does_not_fit_says_which_step_by_how_much_and_what_would() -> Result<()> {
    let server = demo::serve(&document("bakery")?)?;
    let client = server.client();
    // The oven team stops at 10:00: packed at 10:00 means a drop at 10:30.
    let asked = client.schedule_of(FRIDAY, "custard-bun", "10:45")?;
    let no_fit = &asked["products"][0]["no_fit"];
    equal(&no_fit["step"], &json!("pack"))?;
    equal(&no_fit["minutes"], &json!(15))?;
    let earliest = no_fit["earliest"].as_str().context("an earliest drop")?.to_owned();
    ensure!(earliest.starts_with("2026-06-13T"), "the next morning is the earliest: {earliest}");
    let again = client.schedule_of("2026-06-13", "custard-bun", &earliest[11..16])?;
    equal(&again["products"][0]["no_fit"], &Value::Null)?;
    let fits = client.schedule_of(FRIDAY, "custard-bun", "10:30")?;
    equal(&fits["products"][0]["no_fit"], &Value::Null)?;
    for query in [
        "product=custard-bun",
        "drop=07:00",
        "product=custard-bun&drop=noon",
        "product=almond-croissant&drop=07:00",
    ] {
        let reply = client.get(&format!("/v1/service-dates/{FRIDAY}/schedule?{query}"))?;
        ensure!(reply.status == 400 && reply.is_problem("invalid-query")?, "{}", reply.text());
    }
    Ok(())
}

/// Two products on one dough by their routes: one wants it old, the other young.
fn two_ages(young_most: &str) -> Value {
    let route = |code: &str, least: &str, most: &str| {
        json!({
            "code": code,
            "steps": [
                {"step": "mix", "per_load": 10, "between": 5, "station": {"kind": "mixer"}},
                {"step": "cold", "window": {"least": least, "most": most}},
                {"step": "bake", "minutes": 30},
            ],
            "limits": [],
        })
    };
    let product = |code: &str, route: &str| {
        json!({
            "code": code, "dough": "dough", "route": route, "reject": "0",
            "make_up": [{"item": "dough", "quantity": {"amount": "1", "unit": "kg"}}],
        })
    };
    json!({
        "site": {
            "code": "lock-lane", "time_zone": "Europe/Amsterdam", "currency": "EUR",
            "open_weekdays": ["mon", "tue", "wed", "thu", "fri", "sat", "sun"],
        },
        "places": [], "scales": [],
        "mixers": [{
            "code": "spiral", "minimum": {"amount": "4", "unit": "kg"},
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
            "dough_class": "lean", "mixer": "spiral", "made": {"by_products": "mix"},
            "lines": [{"item": "flour", "parts": "100", "flour": true},
                      {"item": "water", "parts": "50"}],
            "losses": [],
        }],
        "routes": [route("old", "PT12H", "PT48H"), route("young", "PT1H", young_most)],
        "products": [product("sour-loaf", "old"), product("mild-loaf", "young")],
        "overheads": [],
        "customers": [{"code": "cafe", "tier": 2}],
    })
}

/// A server with 20 of each loaf ordered for Friday at 07:00.
fn ordered(bakery: &Value) -> Result<Server> {
    let server = Server::start(demo::NOW)?;
    let client = server.client();
    client.put_bakery(bakery)?.success()?;
    let order = json!({
        "order_ref": "bar-1", "version": 1, "customer": "cafe", "service_date": FRIDAY,
        "drop": "07:00",
        "lines": [{"line_ref": "1", "product": "sour-loaf", "quantity": 20},
                  {"line_ref": "2", "product": "mild-loaf", "quantity": 20}],
    });
    client.post_order(&order)?.success()?;
    Ok(server)
}

#[test]
fn products_share_a_mix_if_their_age_windows_meet() -> Result<()> {
    // Source: trade.md 2.7: valid start = intersection of all products using the load.
    let server = ordered(&two_ages("PT12H"))?;
    let schedule = server.client().schedule(FRIDAY)?;
    let batches = schedule["batches"].as_array().context("batches")?;
    ensure!(batches.len() == 1, "{schedule}");
    // Bake 06:30, twelve hours cold, ten minutes to mix: the one start that suits both.
    equal(&batches[0]["made_at"], &json!("2026-06-11T18:20:00+02:00"))
}

#[test]
fn products_whose_age_windows_do_not_meet_are_mixed_apart_and_it_is_said() -> Result<()> {
    // Source: trade.md 2.7: empty intersection = split in two mixes.
    let server = ordered(&two_ages("PT11H59M"))?;
    let client = server.client();
    let schedule = client.schedule(FRIDAY)?;
    let batches = schedule["batches"].as_array().context("batches")?;
    let made: Vec<&Value> = batches.iter().map(|batch| &batch["made_at"]).collect();
    let expected = [json!("2026-06-11T18:20:00+02:00"), json!("2026-06-12T05:20:00+02:00")];
    ensure!(made == expected.iter().collect::<Vec<_>>(), "{schedule}");
    ensure!(schedule["notes"].to_string().contains("2 mixes"), "{}", schedule["notes"]);
    let mixes: Vec<&Value> = schedule["products"]
        .as_array()
        .context("products")?
        .iter()
        .map(|product| &product["mix"])
        .collect();
    ensure!(mixes == [&json!(1), &json!(2)], "{schedule}");
    // Each mix is weighed on its own day, and each number of it can be unfolded.
    for (date, number) in [("2026-06-11", 1), ("2026-06-12", 2)] {
        let sheet = client.weigh_out(date)?;
        let pages = &sheet["blocks"][0]["pages"];
        ensure!(pages[0]["notes"].to_string().contains(&format!("mix {number} of 2")), "{pages}");
        let why = pages[0]["lines"][0]["why"].as_str().context("a why")?;
        client.get(why)?.success()?;
    }
    let requirements = client.requirements(FRIDAY)?;
    let needs = requirements["needs"].as_array().context("needs")?;
    let flour: Vec<&Value> = needs.iter().filter(|need| need["item"] == "flour").collect();
    ensure!(flour.len() == 2, "{requirements}");
    Ok(())
}

#[test]
fn two_doughs_at_once_in_one_mixer_clash_and_the_ways_out_are_named() -> Result<()> {
    let mut bakery = document("bakery")?;
    for formula in bakery["formulas"].as_array_mut().context("formulas")? {
        if formula["code"] == "seed" {
            formula["made"] = json!({"day": -1, "time": "11:00"});
        }
    }
    let server = demo::serve(&bakery)?;
    let schedule = server.client().schedule(FRIDAY)?;
    let notes = schedule["notes"].to_string();
    ensure!(notes.contains("has no place in Floor spiral mixer"), "{notes}");
    // Country occupies it from 11:00 to 11:21, and seed may not carry rye along.
    ensure!(notes.contains("UNDECIDED") && notes.contains("start at Thu 11 Jun 11:31"), "{notes}");
    let seed = find(&schedule["batches"], "item", "seed")?;
    equal(&seed["loads"], &json!([]))?;
    // What it needs is still needed then.
    equal(&seed["made_at"], &json!("2026-06-11T11:00:00+02:00"))
}
