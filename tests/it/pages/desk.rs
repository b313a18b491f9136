//! The shortage desk and the orders that are made there, without scripts.
//!
//! # Source
//! alder-yard.md, 8.9 D: 2 milk and 2 butter sheets by Wednesday's cutoff, 197.20 EUR.

use super::{demo_server, fields, led, page};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::client::Client;

/// Wednesday's cutoff of the dairy.
const CUTOFF: &str = "2026-06-10T11:00:00+02:00";

/// The draft that the desk offers, as its form sends it.
fn drafted(key: &str, who: &str) -> String {
    fields(&[
        ("_key", key),
        ("_part", "dairy-2026-06-11T06-00"),
        ("supplier", "dairy"),
        ("cutoff", CUTOFF),
        ("who:needed", who),
    ])
}

/// Makes the draft on the desk; gives the path of its page.
fn make_draft(client: &Client) -> Result<String> {
    let reply = client.post_form("/desk", &drafted("draft", "Imre"))?;
    let path = led(&reply).with_context(|| reply.text())?;
    let path = path.split('?').next().context("a path")?;
    Ok(path.to_owned())
}

/// The order behind the path of a page.
fn order(client: &Client, path: &str) -> Result<Value> {
    client.get(&format!("/v1{path}"))?.success()
}

/// Posts a step of an order from its page, which must lead back to it.
fn step(client: &Client, path: &str, step: &str, sent: &[(&str, &str)]) -> Result<()> {
    let mut all = vec![("_key", step), ("who:needed", "Imre")];
    all.extend(sent);
    let reply = client.post_form(&format!("{path}/{step}"), &fields(&all))?;
    ensure!(led(&reply).is_some_and(|to| to.starts_with(path)), "{step}: {}", reply.text());
    Ok(())
}

#[test]
fn the_desk_says_what_is_short_until_when_and_what_to_send() -> Result<()> {
    let server = demo_server()?;
    let shown = page(server.client(), "/desk")?;
    for words in [
        "ring by 11:00 · 1 h 30 min left",
        "id=\"short-whole-milk\"",
        "id=\"short-rye\"",
        "Order to send by 11:00",
        "Packs of later cutoffs are brought forward",
        "197.20 EUR",
        "Fri 12 Jun",
        "first for Detrempe of Sat 13 Jun",
        "count Whole milk again",
        "Can wait until after the next cutoff",
    ] {
        ensure!(shown.contains(words), "{words}: {shown}");
    }
    ensure!(!shown.contains("UNDECIDED"), "everything can still be ordered: {shown}");
    let today = page(server.client(), "/today")?;
    ensure!(today.contains("href=\"/desk#short-whole-milk\""), "today leads there: {today}");
    Ok(())
}

#[test]
fn one_press_makes_the_draft_and_the_desk_then_shows_it() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let nameless = client.post_form("/desk", &drafted("k", ""))?;
    ensure!(nameless.status == 422, "{}", nameless.status);
    let at = "href=\"#field-dairy-2026-06-11T06-00-who\"";
    ensure!(nameless.text().contains(at), "the fault is at its own form: {}", nameless.text());
    let path = make_draft(client)?;
    ensure!(make_draft(client)? == path, "a second press is the same draft");
    let order = order(client, &path)?;
    ensure!(order["goods"]["minor_units"] == 19_720, "{order}");
    let shown = page(client, "/desk")?;
    ensure!(shown.contains("A draft for this cutoff is there:"), "{shown}");
    ensure!(!shown.contains("dairy-2026-06-11T06-00"), "no second button: {shown}");
    let again = client.post_form("/desk", &drafted("other", "Petra"))?;
    ensure!(again.text().contains("role=\"alert\""), "{}", again.text());
    Ok(())
}

#[test]
fn a_draft_is_changed_sent_answered_and_taken_in_on_pages() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let path = make_draft(client)?;
    let etag = order(client, &path)?["etag"].as_str().context("an etag")?.to_owned();
    let lines = [
        ("_part", "lines"),
        ("_etag", etag.as_str()),
        ("lines/0/pack:with", "whole-milk-12-l"),
        ("lines/0/packs:number", "3"),
        ("lines/1/pack:with", "butter-sheet-10-each"),
        ("lines/1/packs:number", ""),
        ("lines/2/pack:with", "fresh-yeast-10-kg"),
        ("lines/2/packs:number", ""),
    ];
    let bad = fields(&lines.map(|(name, text)| (name, if text == "3" { "0" } else { text })));
    let bad = client.post_form(&format!("{path}/lines"), &(bad + "&who%3Aneeded=Imre"))?;
    ensure!(bad.text().contains("href=\"#field-lines-lines-0-packs\""), "{}", bad.text());
    step(client, &path, "lines", &lines)?;
    let edited = order(client, &path)?;
    ensure!(edited["lines"].as_array().is_some_and(|all| all.len() == 1), "{edited}");
    ensure!(edited["lines"][0]["packs"] == 3, "{edited}");
    let stale = fields(&lines) + "&who%3Aneeded=Petra";
    let stale = client.post_form(&format!("{path}/lines"), &stale)?;
    ensure!(stale.text().contains("changed since you read it"), "{}", stale.text());
    for (ending, media_type, holds) in [
        ("csv", "text/csv", "whole-milk-12-l"),
        ("xml", "application/xml", "urn:oasis:names:specification:ubl:schema:xsd:Order-2"),
        ("pdf", "application/pdf", "%PDF-"),
    ] {
        let file = client.get(&format!("{path}/order.{ending}"))?;
        ensure!(file.media_type.starts_with(media_type), "{}", file.media_type);
        ensure!(String::from_utf8_lossy(&file.body).contains(holds), "{ending}");
    }
    ensure!(client.get(&format!("{path}/order.doc"))?.status == 404);
    step(client, &path, "send", &[("_part", "send"), ("note", "by mail")])?;
    ensure!(client.shortages("2026-06-13")?["covered"].to_string().contains("whole-milk"));
    let cut = [
        ("_part", "acknowledge"),
        ("lines/0/line:with-number", "1"),
        ("lines/0/packs:number", "2"),
        ("lines/0/reason", "out of stock"),
        ("their_reference", "D-778"),
        ("arrives", "2026-06-11T08:00"),
    ];
    step(client, &path, "acknowledge", &cut)?;
    let shown = page(client, &path)?;
    for words in ["D-778", "Thu 11 Jun 08:00", "out of stock", "acknowledged", "by mail"] {
        ensure!(shown.contains(words), "{words}: {shown}");
    }
    take_in_and_close(client, &path)
}

/// One of two packs comes; the other is given up with the order.
fn take_in_and_close(client: &Client, path: &str) -> Result<()> {
    let goods = format!("{path}/goods-in");
    ensure!(page(client, "/receiving")?.contains(&goods), "the door knows what is on order");
    ensure!(page(client, &goods)?.contains("Packs that came of 2"), "what is still to come");
    let came = [
        ("lines/0/line:with-number", "1"),
        ("lines/0/packs:number", "1"),
        ("lines/0/lot", "M-0610"),
        ("lines/0/use_by", "2026-06-18"),
        ("lines/0/temperature:decimal", "4,5"),
        ("lines/0/place", ""),
    ];
    step(client, path, "goods-in", &came)?;
    let held = order(client, path)?;
    ensure!(held["state"] == "part-received" && held["lines"][0]["to_come"] == 1, "{held}");
    ensure!(held["history"].to_string().contains("\"4.5\""), "the comma is a point: {held}");
    ensure!(page(client, "/stock/whole-milk")?.contains("M-0610"), "its lot is in the house");
    step(client, path, "close", &[("_part", "close"), ("note:needed", "the rest was cut")])?;
    let shown = page(client, path)?;
    ensure!(shown.contains("the rest was cut") && !shown.contains("<form class=\"entry\""));
    ensure!(page(client, &goods)?.contains("Nothing more of this order"), "{goods}");
    Ok(())
}

#[test]
fn a_draft_is_given_up_and_its_cutoff_is_free_again() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let path = make_draft(client)?;
    let why = [("_part", "cancel"), ("note:needed", "wrong week")];
    step(client, &path, "cancel", &why)?;
    let shown = page(client, &path)?;
    ensure!(shown.contains("given up") && shown.contains("wrong week"), "{shown}");
    ensure!(page(client, "/desk")?.contains("dairy-2026-06-11T06-00"), "the button is back");
    Ok(())
}

#[test]
fn after_the_cutoff_the_desk_says_so_and_a_late_order_names_who_agreed() -> Result<()> {
    let server = demo_server()?;
    let path = make_draft(server.client())?;
    let server = server.at("2026-06-10T12:20:00+02:00")?;
    let client = server.client();
    let desk = page(client, "/desk")?;
    for words in ["CUTOFF GONE since 12:00", "UNDECIDED", "href=\"/cuts/2026-06-13\""] {
        ensure!(desk.contains(words), "{words}: {desk}");
    }
    let today = page(client, "/today")?;
    let rye = today.split("<li>").find(|one| one.contains("Rye flour: 2.38 kg short"));
    let rye = rye.context("what can no longer be ordered is today's")?;
    ensure!(rye.contains("too late to order"), "{rye}");
    ensure!(page(client, &path)?.contains("CUTOFF GONE: ring them"), "the draft says so too");
    let alone = fields(&[("_key", "a"), ("_part", "send"), ("who:needed", "Imre")]);
    let refused = client.post_form(&format!("{path}/send"), &alone)?;
    ensure!(refused.text().contains("is gone: ring them"), "{}", refused.text());
    step(client, &path, "send", &[("_part", "send"), ("agreed_with", "the order desk")])?;
    let server = server.at("2026-06-11T06:30:00+02:00")?;
    let shown = page(server.client(), &path)?;
    ensure!(shown.contains("LATE") && shown.contains("the order desk agreed"), "{shown}");
    ensure!(page(server.client(), "/desk")?.contains("LATE"), "the desk says it too");
    Ok(())
}

#[test]
fn a_porter_takes_goods_in_and_is_not_shown_the_desk() -> Result<()> {
    let server = demo_server()?;
    let path = make_draft(server.client())?;
    server.client().post(&format!("/v1{path}/send"), &json!({"who": "Imre"}))?.success()?;
    let token = server.token("door", weighhouse::access::Job::Porter, None)?;
    let porter = server.client().with_token(&token);
    ensure!(porter.get_as("/desk", "text/html")?.status == 403);
    ensure!(!page(&porter, "/today")?.contains("/desk"), "what it may not open is not shown");
    ensure!(page(&porter, &format!("{path}/goods-in"))?.contains("Whole milk"));
    Ok(())
}
