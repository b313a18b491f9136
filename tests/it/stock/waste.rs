//! Waste: reasons, routes, money, and the report.

use anyhow::{Context, Result, ensure};
use serde_json::json;
use weighhouse_tests::{
    client::Client,
    stockroom::{check, id, open, receive, refused},
};

/// Three kinds of waste: priced, unpriced, and of no lot. Returns the entry of the first.
fn wasted(client: &Client) -> Result<String> {
    // 31.25 EUR for 12.5 kg.
    let price = json!({"money": {"minor_units": 3125, "currency": "EUR"},
        "per": {"amount": "12.5", "unit": "kg"}});
    let rye = id(&receive(client, &json!({"price": price}))?)?;
    let honey = id(&receive(client, &json!({"item": "honey", "lot": "H-1"}))?)?;
    let entry = client
        .post(
            "/v1/waste",
            &json!({"lot": rye, "quantity": {"amount": "7", "unit": "g"}, "reason": "spilled",
                "route": "feed", "who": "Imre", "wasted_at": "2026-06-03T06:00:00+02:00"}),
        )?
        .success()?;
    // Source: trade.md 7, case 23: 7 g at 3125 cents per 12.5 kg are 1.75 cents, 2 on a line.
    ensure!(entry["line"]["money"] == json!({"minor_units": 2, "currency": "EUR"}), "{entry}");
    let second = client
        .post(
            "/v1/waste",
            &json!({"lot": honey, "quantity": {"amount": "1.5", "unit": "kg"},
                "reason": "spilled", "note": "jar, \"fell\""}),
        )?
        .success()?;
    ensure!(second["line"]["money"].is_null(), "unknown stays unknown: {second}");
    client
        .post(
            "/v1/waste",
            &json!({"item": "sugar-bun", "quantity": {"amount": "12", "unit": "each"},
                "reason": "burnt", "batch": "2026-06-12/bun/1"}),
        )?
        .success()?;
    Ok(entry["movement"].as_str().context("a movement")?.to_owned())
}

#[test]
fn the_report_sums_by_reason_and_week_and_never_prices_what_nobody_knows() -> Result<()> {
    let server = open()?;
    let client = server.client();
    wasted(client)?;
    let report = client.get("/v1/waste?from=2026-06-01&to=2026-06-10")?.success()?;
    let names = |list: &str| -> Vec<String> {
        let rows = report[list].as_array().cloned().unwrap_or_default();
        rows.iter().filter_map(|row| row["name"].as_str().map(str::to_owned)).collect()
    };
    ensure!(names("by_reason") == ["spilled", "burnt"], "{report}");
    // 3 June 2026 is a Wednesday of week 23, 10 June of week 24.
    ensure!(names("by_week") == ["2026-W23", "2026-W24"], "{report}");
    let total = &report["total"];
    ensure!(total["mass"]["amount"] == "1507" && total["pieces"] == "12", "{total}");
    ensure!(total["money"]["minor_units"] == 2 && total["unpriced"] == 2, "{total}");
    let said = "1.507 kg + 12 pieces, at least 0.02 EUR, 2 prices missing";
    ensure!(total["statement"] == said, "{total}");
    ensure!(report["lines"].as_array().map(Vec::len) == Some(3), "{report}");
    let before = client.get("/v1/waste?from=2026-06-04&to=2026-06-09")?.success()?;
    ensure!(before["lines"].as_array().map(Vec::len) == Some(0), "{before}");
    ensure!(client.get("/v1/waste?from=2026-06-11&to=2026-06-10")?.status == 400);
    Ok(())
}

#[test]
fn the_report_comes_on_paper_with_bars_and_as_values() -> Result<()> {
    let server = open()?;
    let client = server.client();
    wasted(client)?;
    let page = client.get_as("/v1/waste", "text/html")?.text();
    for part in ["<svg", "role=\"img\"", "<title id=\"by-reason-title\"", "spilled: 1.507 kg"] {
        ensure!(page.contains(part), "{part} is not in {page}");
    }
    ensure!(!page.contains("style=") && !page.contains("<script"), "{page}");
    let csv = client.get("/v1/waste.csv")?;
    ensure!(csv.media_type.starts_with("text/csv"), "{}", csv.media_type);
    let text = csv.text();
    let rows: Vec<_> = text.split("\r\n").collect();
    ensure!(rows.len() == 5 && rows[4].is_empty(), "a head, three lines and an end: {text}");
    ensure!(rows[1].ends_with("rye,RY-9,7,g,spilled,feed,,2,EUR"), "{text}");
    Ok(())
}

#[test]
fn waste_that_was_taken_back_leaves_the_report() -> Result<()> {
    let server = open()?;
    let client = server.client();
    let entry = wasted(client)?;
    let path = format!("/v1/movements/{entry}/correct");
    let right = json!({"reason": "typed 7 g for 70 g", "who": "Imre",
        "instead": {"amount": "70", "unit": "g"}});
    client.post(&path, &right)?.success()?;
    let report = client.get("/v1/waste?from=2026-06-03&to=2026-06-03")?.success()?;
    let line = &report["lines"][0];
    ensure!(report["lines"].as_array().map(Vec::len) == Some(1), "{report}");
    ensure!(line["quantity"]["amount"] == "70" && line["reason"] == "spilled", "{line}");
    ensure!(line["route"] == "feed" && line["money"]["minor_units"] == 18, "{line}");
    check(client)?;
    Ok(())
}

#[test]
fn a_reason_that_the_house_does_not_know_is_refused_with_those_it_does() -> Result<()> {
    let server = open()?;
    let client = server.client();
    let rye = id(&receive(client, &json!({}))?)?;
    let quantity = json!({"amount": "1", "unit": "kg"});
    let body = json!({"lot": rye, "quantity": quantity, "reason": "bored"});
    let said = refused(client, "/v1/waste", &body, "unknown-code")?;
    ensure!(said.contains("out-of-date, spoiled, spilled"), "{said}");
    let both = json!({"lot": rye, "item": "rye", "quantity": quantity, "reason": "spilled"});
    refused(client, "/v1/waste", &both, "field-mismatch")?;
    let all = json!({"lot": rye, "quantity": {"amount": "25", "unit": "kg"}, "reason": "recall"});
    let gone = client.post("/v1/waste", &all)?.success()?;
    ensure!(gone["lot"]["state"] == "wasted", "{gone}");
    Ok(())
}
