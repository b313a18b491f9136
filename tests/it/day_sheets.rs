//! The sheets of a working day: mixer, bench, oven and lead. Printed numbers are those of
//! the weigh-out and of the requirements, and what is not on file is blank.

use anyhow::{Context, Result, ensure};
use num_rational::BigRational;
use num_traits::Zero;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use weighhouse_tests::{
    client::Client,
    demo,
    exact::{parse, whole},
};

/// The demo's work dates, from its clock to its last service date.
const WORK_DATES: [&str; 4] = ["2026-06-10", "2026-06-11", "2026-06-12", "2026-06-13"];
const SHEETS: [&str; 4] = ["mix-sheet", "bench-sheet", "bake-sheet", "day-board"];

fn sheet(client: &Client, date: &str, name: &str) -> Result<Value> {
    let path = format!("/v1/work-dates/{date}/{name}");
    client.get(&path)?.success().with_context(|| path)
}

fn rows<'a>(of: &'a Value, list: &str) -> Result<&'a Vec<Value>> {
    of[list].as_array().with_context(|| format!("no list `{list}`"))
}

fn text<'a>(of: &'a Value, key: &str) -> Result<&'a str> {
    of[key].as_str().with_context(|| format!("no text `{key}` in {of}"))
}

fn count(of: &Value, key: &str) -> Result<i64> {
    of[key].as_i64().with_context(|| format!("no number `{key}` in {of}"))
}

/// An amount in grams or pieces; nothing if there is none.
fn amount(quantity: &Value) -> Result<BigRational> {
    if quantity.is_null() {
        return Ok(whole(0));
    }
    let number = parse(text(quantity, "amount")?)?;
    Ok(if text(quantity, "unit")? == "kg" { number * whole(1000) } else { number })
}

/// A number printed as one or several weighings.
fn printed(quantity: &Value) -> Result<BigRational> {
    let kilo = whole(if text(quantity, "unit")? == "kg" { 1000 } else { 1 });
    let mut sum = whole(0);
    for part in text(quantity, "amount")?.split(" + ") {
        sum += match part.split_once(" × ") {
            Some((times, each)) => parse(times)? * parse(each)?,
            None => parse(part)?,
        };
    }
    Ok(sum * kilo)
}

/// Pages of a weigh-out by formula, service date and load.
type Pages = BTreeMap<(String, String, i64), Value>;

fn pages(weigh_out: &Value) -> Result<Pages> {
    let mut found = Pages::new();
    for block in rows(weigh_out, "blocks")? {
        for page in rows(block, "pages")? {
            let (formula, date) = (text(block, "formula")?, text(block, "service_date")?);
            let key = (formula.to_owned(), date.to_owned(), count(page, "load")?);
            found.insert(key, page.clone());
        }
    }
    Ok(found)
}

#[test]
fn a_load_is_mixed_as_it_was_weighed() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let (mut loads, mut iced) = (0, 0);
    for date in WORK_DATES {
        let weighed = pages(&client.weigh_out(date)?)?;
        // A warm day, so that ice is asked for.
        let path = format!("/v1/work-dates/{date}/mix-sheet?flour=26&room=30&tap=18");
        for sheet in [sheet(client, date, "mix-sheet")?, client.get(&path)?.success()?] {
            for load in rows(&sheet, "loads")?.iter().chain(rows(&sheet, "by_hand")?) {
                let key = (
                    text(load, "formula")?.to_owned(),
                    text(load, "service_date")?.to_owned(),
                    count(load, "load")?,
                );
                let page = weighed.get(&key).with_context(|| format!("{key:?} is not weighed"))?;
                ensure!(load["printed"] == page["printed"], "{key:?}: {}", load["printed"]);
                check_lines(load, page).with_context(|| format!("{date} {key:?}"))?;
                iced += usize::from(check_water(load).with_context(|| format!("{key:?}"))?);
                loads += 1;
            }
        }
    }
    ensure!(loads >= 40 && iced >= 4, "only {loads} loads, {iced} with ice");
    Ok(())
}

/// Every line of the load is the line of its page, and no line is missing.
fn check_lines(load: &Value, page: &Value) -> Result<()> {
    let lines = |list: &Value, key: &str| -> Result<BTreeSet<String>> {
        let line = |line: &Value| format!("{} {} {}", line["item"], line["weigh"], line["printed"]);
        Ok(rows(list, key)?.iter().map(line).collect())
    };
    ensure!(lines(load, "additions")? == lines(page, "lines")?, "lines differ");
    let mut last = 0;
    for line in rows(load, "additions")? {
        let first = line["minutes"][0].as_i64().unwrap_or(0);
        ensure!(first >= last, "{} goes in before what stands above it", line["item"]);
        last = first;
    }
    Ok(())
}

/// Water and ice are what the weigh-out says; whether there is ice.
fn check_water(load: &Value) -> Result<bool> {
    let mut all = whole(0);
    for line in rows(load, "additions")?.iter().filter(|line| line["water"] == true) {
        all += amount(&line["weigh"])?;
    }
    let water = &load["water"];
    ensure!(printed(&water["all"])? == all, "all water is {}", water["all"]);
    if water["state"] != "poured" {
        ensure!(water["temperature"].is_null() && water["ice"].is_null(), "{water}");
        return Ok(false);
    }
    let ice = if water["ice"].is_null() { whole(0) } else { printed(&water["ice"])? };
    ensure!(printed(&water["water"])? + &ice == all, "{water} is not {all}");
    // Source: trade rules 1.4: ice to 100 g, water temperature to 0.5 °C.
    ensure!((&ice / whole(100)).is_integer(), "ice {ice}");
    let temperature = parse(text(water, "temperature")?)?;
    ensure!((temperature * whole(2)).is_integer(), "{water}");
    Ok(!ice.is_zero())
}

#[test]
fn the_water_is_the_sum_by_hand() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    // Source: check-values.md section 2: T_water = n*DDT - sum - FF, ice by the balance of
    // heat; 3 × 20 - (24 + 27 + 12) = -3, and of 5.86 kg (20 + 3)/(20 + 80) are 1.35 kg of ice.
    let path = "/v1/work-dates/2026-06-11/mix-sheet?flour=24&room=27&tap=20";
    let answer = client.get(path)?.success()?;
    let detrempe = rows(&answer, "loads")?.iter().find(|load| load["formula"] == "detrempe");
    let water = &detrempe.context("a detrempe")?["water"];
    ensure!(water["temperature"] == "-3", "{water}");
    ensure!(water["ice"] == json!({"amount": "1.3", "unit": "kg"}), "{water}");
    ensure!(water["water"] == json!({"amount": "4.56", "unit": "kg"}), "{water}");
    ensure!(answer["temperatures"]["asked"] == json!(["flour", "room", "tap"]), "{answer}");
    // Source: as above, with a preferment: 4 × 25 - (18 + 22 + 22 + 12) = 26.
    let usual = sheet(client, "2026-06-11", "mix-sheet")?;
    let country = rows(&usual, "loads")?.iter().find(|load| load["formula"] == "country");
    let water = &country.context("a country dough")?["water"];
    ensure!(water["temperature"] == "26" && water["ice"].is_null(), "{water}");
    Ok(())
}

#[test]
fn what_is_not_on_file_leaves_its_box_blank() -> Result<()> {
    let mut bakery = demo::document("bakery")?;
    bakery["site"].as_object_mut().context("a site")?.remove("temperatures");
    for mixer in bakery["mixers"].as_array_mut().context("mixers")? {
        mixer.as_object_mut().context("a mixer")?.remove("friction");
    }
    let server = demo::serve(&bakery)?;
    let client = server.client();
    let answer = sheet(client, "2026-06-11", "mix-sheet")?;
    let mut blank = 0;
    for load in rows(&answer, "loads")?.iter().filter(|load| load["water"]["state"] != "none") {
        let water = &load["water"];
        ensure!(water["state"] == "not-on-file" && water["temperature"].is_null(), "{water}");
        ensure!(!rows(water, "missing")?.is_empty(), "{water}");
        blank += 1;
    }
    ensure!(blank >= 5, "only {blank} loads take water");
    let page = client.get_as("/v1/work-dates/2026-06-11/mix-sheet", "text/html")?.text();
    ensure!(page.contains("not on file: the mixer's friction, the flour's temperature"), "{page}");
    for (query, slug) in [("flour=warm", "invalid-query"), ("floor=18", "invalid-query")] {
        let path = format!("/v1/work-dates/2026-06-11/mix-sheet?{query}");
        ensure!(client.get(&path)?.is_problem(slug)?, "{query}");
    }
    Ok(())
}

#[test]
fn every_start_piece_is_shaped_and_baked_once() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let mut baked: BTreeMap<(String, String), i64> = BTreeMap::new();
    let mut shaped: BTreeMap<(String, String), i64> = BTreeMap::new();
    for date in WORK_DATES {
        for oven in rows(&sheet(client, date, "bake-sheet")?, "ovens")? {
            for filling in rows(oven, "fillings")? {
                let key = (text(filling, "service_date")?.into(), text(filling, "product")?.into());
                let pieces = count(filling, "pieces")?;
                *baked.entry(key).or_default() += pieces;
                // Source: trade rules 2.8: whole trays of one product.
                if let (Some(trays), Some(each)) =
                    (filling["trays"].as_i64(), filling["per_tray"].as_i64())
                {
                    ensure!(trays == (pieces + each - 1) / each, "{filling}");
                }
            }
        }
        for block in rows(&sheet(client, date, "bench-sheet")?, "blocks")? {
            for line in rows(block, "lines")? {
                let key = (text(block, "service_date")?.into(), text(line, "product")?.into());
                let pieces = count(line, "pieces")?;
                let per_load = rows(line, "per_load")?.iter().filter_map(Value::as_i64);
                let sum: i64 = per_load.sum();
                ensure!(sum == 0 || sum == pieces, "{line}");
                *shaped.entry(key).or_default() += pieces;
            }
        }
    }
    let mut compared = 0;
    for date in demo::SERVICE_DATES {
        for line in rows(&client.requirements(date)?, "pieces")? {
            let product = text(line, "product")?;
            let key = (date.to_owned(), product.to_owned());
            let start = count(line, "start")?;
            ensure!(baked.remove(&key) == Some(start), "{key:?} is not baked as {start}");
            // Yesterday's croissants are filled, not shaped.
            if product != "almond-croissant" {
                ensure!(shaped.remove(&key) == Some(start), "{key:?} is not shaped as {start}");
            }
            compared += 1;
        }
    }
    ensure!(baked.is_empty() && shaped.is_empty(), "left: {baked:?} {shaped:?}");
    ensure!(compared == 28, "{compared} products were compared");
    Ok(())
}

#[test]
fn what_comes_out_is_counted_against_what_is_wanted() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let answer = sheet(client, "2026-06-12", "bake-sheet")?;
    // Source: alder-yard.md 8.4: 73 sugar buns are begun for 72, 245 rolls for 240.
    for (product, pieces, good) in [("sugar-bun", 73, 72), ("crusty-roll", 245, 240)] {
        let found = rows(&answer, "counts")?.iter().find(|count| count["product"] == product);
        let found = found.with_context(|| format!("no count of {product}"))?;
        ensure!(found["pieces"] == pieces && found["good_needed"] == good, "{found}");
        ensure!(found["may_lose"] == pieces - good, "{found}");
    }
    Ok(())
}

#[test]
fn the_board_lists_what_can_still_be_done_in_order_of_its_last_moment() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let board = sheet(client, "2026-06-10", "day-board")?;
    let exceptions = rows(&board, "exceptions")?;
    let moments: Vec<&str> =
        exceptions.iter().map(|one| one["act_by"].as_str().unwrap_or_default()).collect();
    ensure!(moments.is_sorted() && !moments.is_empty(), "{moments:?}");
    // Source: alder-yard.md 8.9 D: milk by Wednesday 11:00, two cases, 25.20; rye by 12:00, one
    // bag, 16.00, or wholemeal without a new allergen.
    for (words, act_by, order, cost) in [
        ("Whole milk", "2026-06-10T11:00:00+02:00", "order 2 × ", "25.20 EUR"),
        ("Rye", "2026-06-10T12:00:00+02:00", "order 1 × ", "16.00 EUR"),
    ] {
        let found = exceptions
            .iter()
            .filter(|one| one["by"] == "ingredient")
            .find(|one| one["what"].as_str().is_some_and(|w| w.starts_with(words)));
        let found = found.with_context(|| format!("nothing of {words} in {exceptions:?}"))?;
        ensure!(found["act_by"] == act_by, "{found}");
        let levers = rows(found, "levers")?;
        let lever =
            levers.iter().find(|one| one["what"].as_str().is_some_and(|w| w.starts_with(order)));
        ensure!(lever.context("no order")?["cost"] == cost, "{levers:?}");
    }
    let rye =
        exceptions.iter().find(|one| one["what"].as_str().is_some_and(|w| w.starts_with("Rye")));
    let levers = rows(rye.context("rye")?, "levers")?;
    let wholemeal = levers.iter().find(|one| one["what"] == "use Wholemeal flour instead");
    let cost = text(wholemeal.context("no wholemeal")?, "cost")?;
    ensure!(cost.contains("no new allergen"), "{cost}");
    Ok(())
}

#[test]
fn the_board_mixes_what_the_weigh_out_weighs() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let mut compared = 0;
    for date in WORK_DATES {
        let weigh_out = client.weigh_out(date)?;
        let board = sheet(client, date, "day-board")?;
        let lines = rows(&board, "lines")?;
        ensure!(lines.len() == rows(&weigh_out, "blocks")?.len(), "{date}: other doughs");
        for block in rows(&weigh_out, "blocks")?.iter().filter(|block| block["blocks"].is_null()) {
            let same = |line: &&Value| {
                line["formula"] == block["formula"] && line["service_date"] == block["service_date"]
            };
            let line = lines.iter().find(same).context("a line of the board")?;
            ensure!(line["printed"] == block["printed"], "{line} is not {}", block["printed"]);
            ensure!(line["loads"] == block["loads"] && line["start"] == block["made_at"], "{line}");
            compared += 1;
        }
    }
    ensure!(compared >= 15, "only {compared} doughs were compared");
    Ok(())
}

#[test]
fn day_sheets_print_without_network_script_or_colour() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    for name in SHEETS {
        for date in WORK_DATES {
            let path = format!("/v1/work-dates/{date}/{name}");
            let page = client.get_as(&path, "text/html")?;
            ensure!(page.status == 200, "{path}: {}", page.status);
            let text = page.text();
            for outside in ["http://", "https://", "<script", "style=", "<img"] {
                ensure!(!text.contains(outside), "{path} has {outside}");
            }
            // Source: trade rules, part 6, the foot of each safety sheet; 2.12, every sheet.
            for words in [
                "Calculated from records. Not a food-safety plan; local law and your competent \
                 person decide.",
                "Alder Yard Bakehouse",
                "revision ",
                "printed Wed 10 Jun 09:30",
            ] {
                ensure!(text.contains(words), "{path} does not say `{words}`");
            }
            // Patterns tell kinds apart, never a colour: paint is black or white.
            for paint in text.split("fill=\"").skip(1).chain(text.split("stroke=\"").skip(1)) {
                let paint = paint.split('"').next().unwrap_or_default();
                let plain = ["#000", "#fff", "none"].contains(&paint);
                ensure!(plain, "{path} paints {paint}");
            }
            ensure!(
                client.get_as(&path, "text/html")?.text() == text,
                "{path} differs from itself"
            );
        }
    }
    let page = client.get_as("/v1/work-dates/2026-06-11/mix-sheet", "text/html")?.text();
    for words in ["Mixer: guard closed, hands out.", "two people / lift", "Clean-down before"] {
        ensure!(page.contains(words), "the mix sheet does not say `{words}`");
    }
    Ok(())
}

#[test]
fn a_released_load_stays_on_the_mix_sheet_as_it_was_and_a_mixed_one_is_not_mixed_again()
-> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let step = |path: &str, body: Value| client.post(path, &body)?.success();
    let bun = |sheet: &Value, number: i64| -> Result<Value> {
        let loads = rows(sheet, "loads")?;
        let found = loads.iter().find(|load| {
            load["formula"] == "bun"
                && load["service_date"] == "2026-06-12"
                && load["load"] == number
        });
        found.cloned().with_context(|| format!("no bun load {number}"))
    };
    let before = bun(&sheet(client, "2026-06-10", "mix-sheet")?, 1)?;
    ensure!(before["state"] == "draft" && before["done"] == false, "{before}");
    let load = step("/v1/loads/2026-06-12:bun:1/release", json!({"who": "Anna"}))?;
    let id = text(&load, "id")?;
    // More buns: the draft grows, what was released does not move.
    let more = json!({"order_ref": "more", "version": 1, "customer": "harbour-cafe",
        "service_date": "2026-06-12", "drop": "07:00",
        "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": 24}]});
    client.post_order(&more)?.success()?;
    let answer = sheet(client, "2026-06-10", "mix-sheet")?;
    let (released, draft) = (bun(&answer, 1)?, bun(&answer, 2)?);
    ensure!(released["state"] == "released" && released["loads"] == 2, "{released}");
    for key in ["additions", "printed", "water", "gives", "start", "mixer"] {
        ensure!(released[key] == before[key], "{key}: {} was {}", released[key], before[key]);
    }
    ensure!(printed(&draft["printed"])? > printed(&released["printed"])?, "{}", draft["printed"]);
    let weighed = pages(&client.weigh_out("2026-06-10")?)?;
    for load in [&released, &draft] {
        let page = &weighed[&("bun".into(), "2026-06-12".into(), count(load, "load")?)];
        check_lines(load, page)?;
    }
    step(&format!("/v1/loads/{id}/weighings"), json!({"who": "Ben"}))?;
    step(&format!("/v1/loads/{id}/mixed"), json!({"who": "Cem"}))?;
    let mixed = bun(&sheet(client, "2026-06-10", "mix-sheet")?, 1)?;
    ensure!(mixed["state"] == "mixed" && mixed["done"] == true, "{mixed}");
    let page = client.get_as("/v1/work-dates/2026-06-10/mix-sheet", "text/html")?.text();
    ensure!(page.contains("MIXED: do not mix again"), "it would be mixed again");
    let board = sheet(client, "2026-06-10", "day-board")?;
    let line = rows(&board, "lines")?.iter().find(|line| line["formula"] == "bun");
    let states = &line.context("a bun dough")?["states"];
    ensure!(states[0]["load"] == 1 && states[0]["state"] == "mixed", "{states}");
    ensure!(states[0]["who"] == "Cem" && states[1].is_null(), "{states}");
    Ok(())
}

/// # Source
/// Check values, section 11, FT-01: about 10 % a degree; 120 minutes at 26 degrees are 99 at 28
/// and 145 at 24. Nothing is said above 28 degrees (FT-04).
#[test]
fn a_proving_time_says_its_temperature_and_advises_for_warmer_and_colder() -> Result<()> {
    let mut bakery = demo::document("bakery")?;
    for place in bakery["places"].as_array_mut().context("places")? {
        if place["code"] == "retarder" {
            place["temperature"] = json!("26");
        }
    }
    let server = demo::serve(&bakery)?;
    let sheet = sheet(server.client(), "2026-06-12", "bake-sheet")?;
    let proves = rows(&sheet, "proves")?;
    let prove = proves.iter().find(|one| one["minutes"] == 120).context("two hours")?;
    ensure!(prove["temperature"] == "26", "{prove}");
    let guide = json!([{"degrees": -4, "minutes": 176}, {"degrees": -2, "minutes": 145},
        {"degrees": 2, "minutes": 99}]);
    ensure!(prove["guide"] == guide, "{prove}");
    let path = "/v1/work-dates/2026-06-12/bake-sheet";
    let page = server.client().get_as(path, "text/html")?.text();
    for words in ["Advice for warmer and colder", "26", "about 99\u{a0}min"] {
        ensure!(page.contains(words), "{words}: {page}");
    }
    Ok(())
}
