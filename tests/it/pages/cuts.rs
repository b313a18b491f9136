//! What to cut, decided on a page, without scripts.
//!
//! # Source
//! alder-yard.md, 8.9 D: after the mill's cutoff 592 g of rye remain of 2 968 g for Saturday.

use super::{demo_server, fields, led, page};
use anyhow::{Context, Result, ensure};
use serde_json::Value;
use weighhouse_tests::server::Server;

/// After the mill's cutoff.
const LATE: &str = "2026-06-10T12:10:00+02:00";
const PAGE: &str = "/cuts/2026-06-13";

fn late() -> Result<Server> {
    demo_server()?.at(LATE)
}

fn decisions(server: &Server) -> Result<Vec<Value>> {
    let held = server.client().get("/v1/service-dates/2026-06-13/decisions")?.success()?;
    held.as_array().cloned().context("a list")
}

/// The fair way as the form sends it, at the revision that the page showed.
fn fair(shown: &str, key: &str) -> Result<String> {
    let (_, rest) =
        shown.split_once("name=\"plan_revision:number\" value=\"").context("a revision")?;
    let revision = rest.split('"').next().context("a revision")?;
    Ok(fields(&[
        ("_key", key),
        ("_part", "way"),
        ("plan_revision:number", revision),
        ("way:needed", "fair"),
        ("note:needed", "no rye before Saturday"),
        ("who:needed", "Anna"),
    ]))
}

#[test]
fn two_ways_stand_side_by_side_and_it_is_undecided() -> Result<()> {
    let server = late()?;
    let shown = page(server.client(), PAGE)?;
    for words in [
        "UNDECIDED",
        "Rye flour",
        "592 g",
        "2.968 kg",
        "Fairness costs",
        "<h3>Fair</h3>",
        "<h3>Best</h3>",
        "is short",
    ] {
        ensure!(shown.contains(words), "{words}: {shown}");
    }
    let early = page(demo_server()?.client(), PAGE)?;
    ensure!(!early.contains("UNDECIDED"), "at 09:30 rye can still be ordered: {early}");
    Ok(())
}

#[test]
fn a_way_is_decided_once_and_taken_back() -> Result<()> {
    let server = late()?;
    let client = server.client();
    let form = fair(&page(client, PAGE)?, "once")?;
    for _ in 0..2 {
        let reply = client.post_form(PAGE, &form)?;
        ensure!(led(&reply) == Some("/cuts/2026-06-13?done=decided"), "{}", reply.text());
    }
    let held = decisions(&server)?;
    ensure!(held.len() == 1 && held[0]["who"] == "Anna", "{held:?}");
    let shown = page(client, PAGE)?;
    ensure!(shown.contains("no rye before Saturday") && !shown.contains("UNDECIDED"), "{shown}");
    let stale = form.replace("_key=once", "_key=again");
    let stale = client.post_form(PAGE, &stale)?;
    // The form is not on the page any more: what is not right is said on top.
    ensure!(stale.text().contains("role=\"alert\""), "{}", stale.text());
    let id = held[0]["id"].as_str().context("an id")?;
    let back = fields(&[
        ("_key", "back"),
        ("_part", &format!("back-{id}")),
        ("note:needed", "a neighbour lends us a bag"),
        ("who:needed", "Anna"),
    ]);
    let reply = client.post_form(&format!("{PAGE}/decisions/{id}/take-back"), &back)?;
    ensure!(led(&reply) == Some("/cuts/2026-06-13?done=taken-back"), "{}", reply.text());
    let shown = page(client, PAGE)?;
    for words in ["UNDECIDED", "TAKEN BACK by Anna", "a neighbour lends us a bag"] {
        ensure!(shown.contains(words), "{words}: {shown}");
    }
    Ok(())
}

#[test]
fn numbers_of_ones_own_are_checked_at_their_line() -> Result<()> {
    let server = late()?;
    let client = server.client();
    let own = |key: &str, pieces: &str| {
        fields(&[
            ("_key", key),
            ("_part", "own"),
            ("lines/0/customer:with", "corner-deli"),
            ("lines/0/product:with", "country-large"),
            ("lines/0/drop:with", "07:00"),
            ("lines/0/pieces:number", ""),
            ("lines/3/customer:with", "harbour-cafe"),
            ("lines/3/product:with", "country-large"),
            ("lines/3/drop:with", "07:00"),
            ("lines/3/pieces:number", pieces),
            ("note:needed", "rang them"),
            ("who:needed", "Anna"),
        ])
    };
    let wrong = client.post_form(PAGE, &own("a", "-1"))?;
    ensure!(wrong.text().contains("href=\"#field-own-lines-3-pieces\""), "{}", wrong.text());
    let many = client.post_form(PAGE, &own("b", "500"))?;
    ensure!(many.text().contains("role=\"alert\""), "more than was asked: {}", many.text());
    let reply = client.post_form(PAGE, &own("c", "2"))?;
    ensure!(reply.status == 303, "{}", reply.text());
    let held = decisions(&server)?;
    let lines = held[0]["lines"].as_array().context("lines")?;
    ensure!(lines.len() == 1 && lines[0]["pieces"] == 2, "an empty box decides nothing: {held:?}");
    Ok(())
}
