//! What people set by hand: it survives new plans, is shown, and is explained.

use super::{SERVICE_DATE, WORK_DATE, batch, demo_server, notes, order, page, release};
use crate::first_hour::calculator::Calculator;
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, exact::whole};

fn path(kind: &str, code: &str) -> String {
    format!("/v1/service-dates/{SERVICE_DATE}/overrides/{kind}/{code}")
}

fn set(client: &Client, kind: &str, code: &str, value: &str) -> Result<Value> {
    let body = json!({"value": value, "note": "school trip", "who": "Anna"});
    client.put(&path(kind, code), &body, None)?.success().with_context(|| format!("{kind} {value}"))
}

fn pieces(client: &Client, product: &str) -> Result<Value> {
    let requirements = client.requirements(SERVICE_DATE)?;
    let lines = requirements["pieces"].as_array().context("pieces")?;
    lines.iter().find(|line| line["product"] == product).cloned().context("a line")
}

#[test]
fn an_override_survives_every_new_plan_and_says_who_and_why() -> Result<()> {
    // Source: trade rules 1.6: an override with a note, that is not lost on re-plan.
    let server = demo_server()?;
    let client = server.client();
    set(client, "start-pieces", "sugar-bun", "90")?;
    set(client, "loads", "bun", "3")?;
    // 72 ordered, 73 to begin with (8.4); the person begins 90.
    let line = pieces(client, "sugar-bun")?;
    ensure!(line["start"] == 90 && line["computed_start"] == 73, "{line}");
    let words = line["overrides"].to_string();
    ensure!(words.contains("Anna") && words.contains("school trip"), "{words}");
    // New orders, receipts and a new day's plan leave it as it is.
    client.post_order(&order(1, "sugar-bun", 6))?.success()?;
    client
        .post_receipt(&json!({"item": "rye", "lot": "R-9", "received": "2026-06-10",
        "quantity": {"amount": "25", "unit": "kg"}}))?
        .success()?;
    let line = pieces(client, "sugar-bun")?;
    ensure!(line["start"] == 90 && line["computed_start"] == 79, "{line}");
    let bun = batch(client, "bun")?;
    ensure!(bun["loads"] == 3, "{bun}");
    let mut calculator = Calculator::new(client);
    for why in [&line["why"], &bun["why"]] {
        calculator.follow(why.as_str().context("a why")?)?;
    }
    let chain = client.get(line["why"].as_str().context("a why")?)?.success()?;
    ensure!(chain.to_string().contains("set by Anna: school trip"), "{chain}");
    // It stands on the sheet of the hands.
    let sheet = client.weigh_out(WORK_DATE)?;
    ensure!(sheet.to_string().contains("set by hand: loads 3 (Anna: school trip)"), "on the sheet");
    let pieces_by_hand = "Sugar bun: set by hand: start-pieces 90 (Anna: school trip)";
    ensure!(sheet.to_string().contains(pieces_by_hand), "the dough says whose pieces: {sheet}");
    let toppings = client.weigh_out(SERVICE_DATE)?["toppings"].to_string();
    ensure!(toppings.contains("set by hand: start-pieces 90"), "and their toppings: {toppings}");
    let paper = client.get_as(&format!("/v1/work-dates/{WORK_DATE}/weigh-out"), "text/html")?;
    ensure!(paper.text().contains("set by hand: loads 3 (Anna: school trip)"), "on paper");
    // Taken back, the plan is what it was; a second time there is nothing.
    let gone = format!("{}?who=Bob&note=cancelled", path("loads", "bun"));
    ensure!(client.delete(&gone)?.status == 204, "it is taken back");
    ensure!(batch(client, "bun")?["loads"] == 2, "two loads again");
    ensure!(client.delete(&gone)?.status == 404, "nothing is there any more");
    let list = client.get(&format!("/v1/service-dates/{SERVICE_DATE}/overrides"))?.success()?;
    ensure!(list.as_array().map(Vec::len) == Some(1), "{list}");
    Ok(())
}

#[test]
fn an_impossible_override_is_refused_with_the_reason() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let body = |value: &str| json!({"value": value, "note": "n", "who": "Anna"});
    for (kind, code, value, status, slug, word) in [
        ("loads", "bun", "1", 422, "override-impossible", "the mixer takes 16 kg at most"),
        ("mixer", "bun", "floor-spiral", 422, "override-impossible", "class"),
        ("mixer", "bun", "no-such", 422, "override-impossible", "there is no mixer"),
        ("loads", "bun", "0", 422, "malformed", "whole loads"),
        ("loads", "sugar-bun", "2", 404, "not-found", "formula"),
        ("start-pieces", "bun", "20", 404, "not-found", "product"),
        ("start-pieces", "sugar-bun", "-3", 422, "malformed", "whole pieces"),
        ("time", "bun", "2026-06-10T05:00:00+02:00", 422, "override-impossible", "past"),
        ("time", "bun", "2026-06-13T05:00:00+02:00", 422, "override-impossible", "sold before"),
        ("under-minimum", "bun", "merge", 422, "malformed", "raise-to-minimum"),
        ("colour", "bun", "red", 400, "invalid-path", "start-pieces"),
    ] {
        let refused = client.put(&path(kind, code), &body(value), None)?;
        let right = refused.status == status && refused.is_problem(slug)?;
        ensure!(right && refused.text().contains(word), "{kind} {value}: {}", refused.text());
    }
    let list = client.get(&format!("/v1/service-dates/{SERVICE_DATE}/overrides"))?.success()?;
    ensure!(list == json!([]), "nothing was set: {list}");
    Ok(())
}

#[test]
fn what_becomes_impossible_later_is_said_and_the_plan_goes_on() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    set(client, "loads", "bun", "2")?;
    client.post_order(&order(1, "sugar-bun", 200))?.success()?;
    let words = notes(client)?;
    ensure!(words.contains("loads of `bun`") && words.contains("cannot be"), "{words}");
    ensure!(words.contains("2 loads: a load would be "), "JSON says why, in English: {words}");
    for (language, said) in [
        ("de", "Chargen von Bun dough für Fr 12. Juni"),
        ("de", "geht nicht: 2 Chargen: eine Charge wäre "),
        ("fr", "n’est pas possible\u{a0}: 2 charges\u{a0}: une charge ferait "),
        ("en", "loads of Bun dough for "),
    ] {
        let path = format!("/v1/work-dates/{WORK_DATE}/weigh-out?language={language}");
        let paper = client.get_as(&path, "text/html")?.text();
        ensure!(paper.contains(said), "{language}: `{said}` is not in\n{paper}");
    }
    ensure!(batch(client, "bun")?["loads"] == 3, "the plan splits as it must");
    Ok(())
}

#[test]
fn a_value_that_is_set_is_changed_only_by_who_has_read_it() -> Result<()> {
    // Source: the contract: a put without If-Match on what exists is 428, with a stale one 412.
    let server = demo_server()?;
    let client = server.client();
    let first = set(client, "loads", "bun", "3")?;
    let other = json!({"value": "4", "note": "more", "who": "Bob"});
    ensure!(client.put(&path("loads", "bun"), &other, None)?.status == 428, "unread");
    ensure!(client.put(&path("loads", "bun"), &other, Some("\"old\""))?.status == 412, "stale");
    let etag = first["etag"].as_str().context("an etag")?;
    let changed = client.put(&path("loads", "bun"), &other, Some(etag))?;
    ensure!(changed.status == 200 && batch(client, "bun")?["loads"] == 4, "{}", changed.text());
    // The same again changes nothing, whoever read what.
    ensure!(client.put(&path("loads", "bun"), &other, None)?.status == 200, "the same again");
    Ok(())
}

#[test]
fn a_small_load_is_undecided_until_a_person_decides() -> Result<()> {
    // Source: trade rules 7 case 14 and part 5: undecided prints UNDECIDED and picks nothing.
    for (decision, loads, minimum) in
        [("raise-to-minimum", 3, Some("4000")), ("hand-mix", 3, None), ("drop", 2, None)]
    {
        let server = demo_server()?;
        let client = server.client();
        for number in [1, 2] {
            release(client, &format!("2026-06-12:bun:{number}"))?;
        }
        client.post_order(&order(1, "sugar-bun", 12))?.success()?;
        let paper = format!("/v1/work-dates/{WORK_DATE}/weigh-out");
        ensure!(client.get_as(&paper, "text/html")?.text().contains("UNDECIDED"), "undecided");
        set(client, "under-minimum", "bun", decision)?;
        let bun = batch(client, "bun")?;
        ensure!(bun["under_minimum"] == false && bun["loads"] == loads, "{decision}: {bun}");
        ensure!(!client.get_as(&paper, "text/html")?.text().contains("UNDECIDED"), "{decision}");
        if let Some(minimum) = minimum {
            // 8.1: the bun spiral takes 4 kg at least.
            ensure!(bun["load_groups"][0]["mix_mass"]["amount"] == minimum, "{decision}: {bun}");
        }
        if decision == "drop" {
            ensure!(notes(client)?.contains("NOT MADE by decision (Anna: school trip)"), "said");
        } else {
            release(client, "2026-06-12:bun:3")?;
        }
        let mut calculator = Calculator::new(client);
        calculator.follow(bun["why"].as_str().context("a why")?)?;
    }
    Ok(())
}

#[test]
fn time_and_mixer_are_set_by_hand() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    set(client, "time", "bun", "2026-06-10T11:00:00+02:00")?;
    ensure!(batch(client, "bun")?["made_at"] == "2026-06-10T11:00:00+02:00", "its time");
    ensure!(page(client, WORK_DATE, "bun", 1)?["starts_at"] == "2026-06-10T11:00:00+02:00", "page");
    let mut bakery = client.get("/v1/bakery")?.json()?;
    let mixers = bakery["mixers"].as_array_mut().context("mixers")?;
    let own = mixers.iter().find(|mixer| mixer["code"] == "bun-spiral").cloned().context("it")?;
    let mut other = own;
    other["code"] = json!("spare-spiral");
    mixers.push(other);
    client.put_bakery(&bakery)?.success()?;
    set(client, "mixer", "bun", "spare-spiral")?;
    ensure!(batch(client, "bun")?["mixer"] == "spare-spiral", "its mixer");
    ensure!(page(client, WORK_DATE, "bun", 1)?["mixer"] == "spare-spiral", "on the page");
    ensure!(super::amount(&batch(client, "bun")?["gross"])? > whole(0), "it is made");
    Ok(())
}

#[test]
fn every_why_of_a_day_with_released_loads_can_be_followed() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    for draft in
        ["2026-06-12:bun:1", "2026-06-12:country:2", "2026-06-12:levain:1", "2026-06-12:detrempe:1"]
    {
        release(client, draft)?;
    }
    client.post_order(&order(1, "sugar-bun", 12))?.success()?;
    set(client, "start-pieces", "country-large", "60")?;
    let mut calculator = Calculator::new(client);
    let mut links = Vec::new();
    crate::first_hour::whys(&client.requirements(SERVICE_DATE)?, &mut links);
    for date in ["2026-06-10", "2026-06-11"] {
        crate::first_hour::whys(&client.weigh_out(date)?, &mut links);
    }
    let mut broken = Vec::new();
    for link in &links {
        broken.extend(calculator.follow(link).err().map(|error| format!("{error:#}")));
    }
    ensure!(broken.is_empty(), "{} chains break:\n{}", broken.len(), broken.join("\n"));
    ensure!(links.len() > 100, "only {} links", links.len());
    Ok(())
}
