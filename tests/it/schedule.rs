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
    equal(&seed["made_at"], &json!("2026-06-11T11:00:00+02:00"))?;
    // Whoever decides reads what each way out costs.
    let board = server.client().get("/v1/work-dates/2026-06-11/day-board")?.success()?;
    let exceptions = board["exceptions"].as_array().context("exceptions")?;
    let clash = exceptions.iter().find(|one| one["what"].to_string().contains("has no place"));
    let levers = clash.context("no clash on the board")?["levers"].as_array().context("levers")?;
    ensure!(levers.len() > 1 && levers.iter().all(|one| one["cost"].is_string()), "{levers:?}");
    Ok(())
}

/// # Source
/// Issue "Time": every route's times printed on the sheets.
#[test]
fn every_step_of_every_route_is_printed_with_its_time() -> Result<()> {
    let server = demo::serve(&document("bakery")?)?;
    let path = format!("/v1/service-dates/{FRIDAY}/schedule");
    let page = server.client().get_as(&path, "text/html")?.text();
    let sections: Vec<&str> = page.split("<section").skip(1).collect();
    let schedule = server.client().schedule(FRIDAY)?;
    let products = schedule["products"].as_array().context("products")?;
    let bakery = document("bakery")?;
    for product in bakery["products"].as_array().context("products")? {
        let code = product["code"].as_str().context("a code")?;
        ensure!(product["route"].is_null() || find(&schedule["products"], "product", code).is_ok());
    }
    for (product, section) in products.iter().zip(sections) {
        let name = product["name"].as_str().context("a name")?;
        ensure!(section.contains(name), "{name} is not where it belongs: {section}");
        let mut rest = section;
        for step in product["steps"].as_array().context("steps")? {
            let (name, start) = (step["step"].as_str(), step["start"].as_str());
            for word in [name.context("a step")?, &start.context("a start")?[11..16]] {
                let at = rest.find(word).with_context(|| format!("{name:?} {word}: {section}"))?;
                rest = &rest[at..];
            }
        }
    }
    Ok(())
}

/// The two loaves on a dough of the day before, with other equipment.
fn equipped(change: impl FnOnce(&mut Value)) -> Value {
    let mut bakery = two_ages("PT12H");
    bakery["formulas"][0]["made"] = json!({"day": -1, "time": "11:00"});
    change(&mut bakery);
    bakery
}

/// # Source
/// Trade.md 2.7 (tubs, fridge racks, retarder slots, freezer boards are capacity) and 2.8.
#[test]
fn prover_retarder_fridge_freezer_and_bench_take_as_much_as_they_have_slots() -> Result<()> {
    for kind in ["prover", "retarder", "chiller", "freezer", "bench"] {
        // Two slots are enough for the two loaves, wherever they stand.
        let enough = if kind == "bench" { &[(1, true), (2, false)][..] } else { &[(1, true)] };
        for &(slots, clash) in enough {
            let bakery = equipped(|bakery| {
                bakery["places"] =
                    json!([{"code": "room", "name": "The room", "kind": kind, "slots": slots}]);
                let route = |code: &str| {
                    json!({"code": code, "limits": [], "steps": [
                        {"step": "stand", "minutes": 600,
                            "station": {"kind": "place", "place": "room"}},
                        {"step": "drive", "minutes": 20}]})
                };
                bakery["routes"] = json!([route("old"), route("young")]);
                for product in bakery["products"].as_array_mut().into_iter().flatten() {
                    product["tray"] = json!({"pieces": 20});
                }
            });
            let schedule = ordered(&bakery)?.client().schedule(FRIDAY)?;
            let notes = schedule["notes"].to_string();
            let said = notes.contains("has no place in The room") && notes.contains("UNDECIDED");
            ensure!(said == clash, "{kind} of {slots}: {notes}");
        }
    }
    Ok(())
}

/// Three products for one drop on one deck, at 180, 250 and 220 degrees, 30 minutes each. From
/// 250 to 220 it cools for 15 minutes at 30 seconds a degree, from 220 to 180 for 20.
///
/// # Source
/// Trade.md 2.8: sequence by falling heat, heat-up and cool-down minutes between programs.
#[test]
fn heat_falls_over_the_morning_with_time_to_cool_down_between() -> Result<()> {
    let bakery = equipped(|bakery| {
        bakery["ovens"] = json!([{"code": "deck", "name": "Deck", "decks": 1, "trays": 4,
            "loading_minutes": 0, "heat_seconds_per_degree": 60, "cool_seconds_per_degree": 30}]);
        bakery["routes"] = json!([{"code": "way", "limits": [], "steps": [
            {"step": "retard", "window": {"least": "PT8H", "most": "PT16H"}},
            {"step": "bake", "minutes": 30, "station": {"kind": "oven"}}]}]);
        let product = |(code, top): (&str, &str)| {
            json!({"code": code, "dough": "dough", "route": "way", "reject": "0",
                "tray": {"pieces": 20},
                "baking": {"oven": "deck", "top": top, "bottom": top, "minutes": 30,
                    "cool_minutes": 0},
                "make_up": [{"item": "dough", "quantity": {"amount": "1", "unit": "kg"}}]})
        };
        let all = [("sour-loaf", "180"), ("mild-loaf", "250"), ("third-loaf", "220")];
        bakery["products"] = all.into_iter().map(product).collect();
    });
    let server = ordered(&bakery)?;
    let third = json!({
        "order_ref": "bar-2", "version": 1, "customer": "cafe", "service_date": FRIDAY,
        "drop": "07:00", "lines": [{"line_ref": "1", "product": "third-loaf", "quantity": 20}],
    });
    server.client().post_order(&third)?.success()?;
    let schedule = server.client().schedule(FRIDAY)?;
    for (product, start) in
        [("mild-loaf", "04:55"), ("third-loaf", "05:40"), ("sour-loaf", "06:30")]
    {
        let found = find(&schedule["products"], "product", product)?;
        equal(&found["bakes"][0]["start"], &json!(format!("{FRIDAY}T{start}:00+02:00")))?;
    }
    Ok(())
}

/// # Source
/// Trade.md 2.8: trays per product, never pooled: 21 and 20 pieces at 20 a tray are 2 and 1, not 3 of 41.
#[test]
fn trays_are_counted_for_each_product_and_never_pooled() -> Result<()> {
    let bakery = equipped(|bakery| {
        bakery["routes"] = json!([]);
        for (at, more) in [(0, 1), (1, 0)] {
            let product = &mut bakery["products"][at];
            product["route"] = Value::Null;
            product["tray"] = json!({"pieces": 20, "group": "one"});
            if more > 0 {
                product["overs"] = json!({"policy": "fixed", "pieces": more});
            }
        }
    });
    let requirements = ordered(&bakery)?.client().requirements(FRIDAY)?;
    let trays = |product: &str| -> Result<Value> {
        Ok(find(&requirements["pieces"], "product", product)?["trays"].clone())
    };
    equal(&trays("sour-loaf")?, &json!(2))?;
    equal(&trays("mild-loaf")?, &json!(1))
}
