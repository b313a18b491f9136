//! A hold takes a lot out of every projection at once and lists what it reaches.

use super::lot;
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo, exact::parse, server::Server};

fn hold(client: &Client, id: &str) -> Result<Value> {
    let body = json!({"reason": "supplier calls", "who": "Imre"});
    client.post(&format!("/v1/lots/{id}/hold"), &body)?.success()
}

fn released() -> Result<(Server, Value)> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let path = "/v1/loads/2026-06-12:bun:1/release";
    let load = server.client().post(path, &json!({"who": "Anna"}))?.success()?;
    Ok((server, load))
}

#[test]
fn a_hold_lists_drafts_released_loads_and_what_runs_short() -> Result<()> {
    // Source: trade.md 4: blocking a lot removes it at once, lists loads planned with it.
    let (server, _) = released()?;
    let client = server.client();
    let id = lot(client, "butter", "BU-1")?;
    let before = client.shortages("2026-06-13")?;
    let held = hold(client, &id)?;
    ensure!(held["state"] == "hold" && held["hold_reason"] == "supplier calls", "{held}");
    let planned = &held["reach"]["planned"];
    let uses = planned["uses"].as_array().context("uses")?;
    let buns: Vec<_> = uses
        .iter()
        .filter(|one| one["code"] == "bun" && one["service_date"] == "2026-06-12")
        .map(|one| (one["state"].clone(), one["load"].clone(), one["quantity"]["amount"].clone()))
        .collect();
    // 928 g in each of the two loads (alder-yard 8.9 A): one released, one draft.
    let expected =
        [(json!("released"), json!(1), json!("928")), (json!("draft"), json!(2), json!("928"))];
    ensure!(expected.iter().all(|one| buns.contains(one)) && buns.len() == 2, "{planned}");
    // The lot is gone from every projection from the next sheet on.
    let after = client.shortages("2026-06-13")?;
    let short = |sheet: &Value| -> Result<num_rational::BigRational> {
        let groups = sheet["groups"].as_array().context("groups")?;
        let lines = groups.iter().flat_map(|group| group["lines"].as_array().into_iter().flatten());
        let line = lines.into_iter().find(|line| line["item"] == "butter");
        parse(line.and_then(|line| line["short_exact"]["amount"].as_str()).unwrap_or("0"))
    };
    ensure!(short(&after)? > short(&before)?, "{after}");
    let said = planned["short"]["quantity"]["amount"].as_str().context("short")?;
    ensure!(parse(said)? == short(&after)?, "{planned}");
    let list = client.get("/v1/held-lots")?.success()?;
    let row = super::row(&list["rows"], "lot", "BU-1")?;
    ensure!(row["state"] == "hold" && row["short"] == planned["short"], "{list}");
    // Released again it is planned with again.
    client.post(&format!("/v1/lots/{id}/release"), &json!({"reason": "looked at"}))?.success()?;
    ensure!(short(&client.shortages("2026-06-13")?)? == short(&before)?);
    ensure!(client.get("/v1/held-lots")?.success()?["rows"] == json!([]));
    Ok(())
}

#[test]
fn a_hold_lists_what_was_made_and_who_may_have_got_it() -> Result<()> {
    let (server, load) = released()?;
    let client = server.client();
    let path = format!("/v1/loads/{}", load["id"].as_str().context("an id")?);
    for step in ["weighings", "mixed", "divided"] {
        client.post(&format!("{path}/{step}"), &json!({"who": "Ben"}))?.success()?;
    }
    let id = lot(client, "butter", "BU-1")?;
    let held = hold(client, &id)?;
    let made = super::row(&held["reach"]["made"], "name", "bun for 2026-06-12, load 1")?;
    ensure!(made["state"] == "divided" && made["generation"] == 1, "{made}");
    // 928 of 10 207.5 g (alder-yard 8.9 A), milk and egg by the same sheet.
    ensure!(made["share"]["exact"] == "1856/20415", "{made}");
    let sent = held["reach"]["sent"].as_array().context("sent")?;
    ensure!(!sent.is_empty() && sent.iter().all(|one| one["link"] == "possible"), "{held}");
    let harbour = sent.iter().find(|one| one["customer"] == "harbour-cafe");
    let harbour = harbour.with_context(|| format!("no Harbour Cafe: {held}"))?;
    ensure!(harbour["service_date"] == "2026-06-12" && harbour["generation"] == 2, "{harbour}");
    // A product that this load does not give is not in it.
    ensure!(sent.iter().all(|one| one["product"] != "croissant"), "{held}");
    Ok(())
}

#[test]
fn a_hold_is_never_stopped_by_a_plan_that_cannot_be_made() -> Result<()> {
    let server = weighhouse_tests::stockroom::open()?;
    let client = server.client();
    let id = weighhouse_tests::stockroom::id(&weighhouse_tests::stockroom::receive(
        client,
        &json!({}),
    )?)?;
    let held = hold(client, &id)?;
    ensure!(held["reach"]["planned"]["uses"] == json!([]), "{held}");
    let again = client.get(&format!("/v1/lots/{id}/recall"))?.success()?;
    ensure!(again["lot"]["state"] == "hold", "{again}");
    ensure!(again["mass_balance"]["accounted_percent"] == "100", "{again}");
    Ok(())
}
