//! Count sheets, blind and not, and what to count next.

use anyhow::{Context, Result, ensure};
use serde_json::json;
use weighhouse_tests::{
    client::Client,
    stockroom::{check, id, open, receive, refused},
};

/// Item and reason of everything that is due.
fn due(client: &Client) -> Result<Vec<(String, String)>> {
    let due = client.get("/v1/counts/due")?.success()?;
    let rows = due["rows"].as_array().context("rows")?;
    let text = |value: &serde_json::Value| value.as_str().unwrap_or_default().to_owned();
    Ok(rows.iter().map(|row| (text(&row["item"]), text(&row["because"]))).collect())
}

#[test]
fn a_blind_sheet_hides_the_book_until_it_is_posted() -> Result<()> {
    let server = open()?;
    let client = server.client();
    let rye = id(&receive(client, &json!({}))?)?;
    let milk = json!({"item": "whole-milk", "lot": "M-1", "place": "chiller",
        "quantity": {"amount": "9", "unit": "L"}});
    let milk = id(&receive(client, &milk)?)?;
    let sheet = client.get("/v1/count-sheets")?;
    ensure!(!sheet.text().contains("25000"), "the sheet tells the book: {}", sheet.text());
    let paper = client.get_as("/v1/count-sheets", "text/html")?.text();
    ensure!(paper.contains("RY-9") && paper.contains("td class=\"blank\""), "{paper}");
    ensure!(paper.contains("<b>Whole milk</b>"), "people read names: {paper}");
    ensure!(!paper.contains("25000") && !paper.contains("25 kg"), "paper tells the book: {paper}");
    let sheet = sheet.success()?;
    ensure!(sheet["blind"] == true && sheet["lines"].as_array().map(Vec::len) == Some(2));
    let open_sheet = client.get("/v1/count-sheets?place=dry-store&blind=false")?.success()?;
    ensure!(open_sheet["lines"][0]["book"]["amount"] == "25000", "{open_sheet}");
    let counted = json!({
        "counted_at": "2026-06-10T09:10:00+02:00", "who": "Imre", "sheet": "Wednesday",
        "lines": [
            {"lot": rye, "quantity": {"amount": "24.5", "unit": "kg"}, "reason": "unrecorded-use"},
            {"lot": milk, "quantity": {"amount": "9", "unit": "L"}},
        ],
    });
    let came = client.post("/v1/count-sheets", &counted)?.success()?;
    ensure!(came["lines"][0]["variance"]["amount"] == "-500", "{came}");
    ensure!(came["lines"][1]["variance"]["amount"] == "0", "{came}");
    let entries = client.get(&format!("/v1/movements?lot={rye}"))?.success()?;
    let entry = &entries["rows"][1];
    ensure!(entry["reason"] == "unrecorded-use" && entry["document"] == "Wednesday", "{entry}");
    check(client)?;
    Ok(())
}

#[test]
fn a_sheet_is_taken_whole_or_not_at_all() -> Result<()> {
    let server = open()?;
    let client = server.client();
    let rye = id(&receive(client, &json!({}))?)?;
    let counted = json!({
        "counted_at": "2026-06-10T09:10:00+02:00",
        "lines": [
            {"lot": rye, "quantity": {"amount": "1", "unit": "kg"}},
            {"lot": "nobody", "quantity": {"amount": "1", "unit": "kg"}},
        ],
    });
    let reply = client.post("/v1/count-sheets", &counted)?;
    ensure!(reply.is_problem("unknown-code")?, "{}", reply.text());
    ensure!(reply.json()?["errors"][0]["pointer"] == "/lines/1/lot", "{}", reply.text());
    let lot = client.get(&format!("/v1/lots/{rye}"))?.success()?;
    ensure!(lot["quantity"]["amount"] == "25000", "{lot}");
    refused(
        client,
        "/v1/count-sheets",
        &json!({"counted_at": "2026-06-10T09:10:00+02:00", "lines": []}),
        "too-many",
    )?;
    Ok(())
}

#[test]
fn later_movements_stand_when_an_earlier_count_is_entered() -> Result<()> {
    // Source: trade.md 7, case 12; also for a count of one place.
    let server = open()?;
    let client = server.client();
    let rye = id(&receive(client, &json!({}))?)?;
    let moved = json!({"lot": rye, "to": "weigh-room", "moved_at": "2026-06-10T08:00:00+02:00",
        "quantity": {"amount": "10", "unit": "kg"}});
    client.post("/v1/moves", &moved)?.success()?;
    let waste = json!({"lot": rye, "quantity": {"amount": "1", "unit": "kg"}, "reason": "spilled",
        "place": "weigh-room", "wasted_at": "2026-06-10T09:20:00+02:00"});
    client.post("/v1/waste", &waste)?.success()?;
    let counted = json!({"lot": rye, "counted_at": "2026-06-10T09:10:00+02:00",
        "place": "weigh-room", "quantity": {"amount": "9.5", "unit": "kg"}});
    let came = client.post("/v1/counts", &counted)?.success()?;
    ensure!(came["book"]["amount"] == "10000" && came["variance"]["amount"] == "-500", "{came}");
    let places = json!([
        {"place": "dry-store", "quantity": {"amount": "15000", "unit": "g"}},
        {"place": "weigh-room", "quantity": {"amount": "8500", "unit": "g"}},
    ]);
    ensure!(came["lot"]["places"] == places, "{came}");
    Ok(())
}

#[test]
fn what_is_due_comes_in_the_order_of_its_harm() -> Result<()> {
    // Source: trade.md 4, cycle list; 4 weeks and 7 days are common practice.
    let server = open()?;
    let client = server.client();
    let order = json!({"order_ref": "t-1", "version": 1, "customer": "harbour-cafe",
        "service_date": "2026-06-12", "drop": "07:00",
        "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": 480}]});
    client.post_order(&order)?.success()?;
    let lot = |item: &str, more: serde_json::Value| -> Result<String> {
        let mut receipt = json!({"item": item, "lot": item, "received": "2026-06-08"});
        let (all, more) = (receipt.as_object_mut().context("")?, more.as_object().context("")?);
        all.extend(more.clone());
        id(&receive(client, &receipt)?)
    };
    let euros = |minor: i64| json!({"money": {"minor_units": minor, "currency": "EUR"}});
    let honey = lot("honey", json!({"price": euros(50_000)}))?;
    lot("wholemeal", json!({"price": euros(1_000)}))?;
    lot("rye", json!({"received": "2026-05-01"}))?;
    // 1 kg of strong white is less than the buns need.
    lot("strong-white", json!({"quantity": {"amount": "1", "unit": "kg"}}))?;
    let sugar = lot("caster-sugar", json!({"quantity": {"amount": "1", "unit": "kg"}}))?;
    let gone = json!({"lot": sugar, "quantity": {"amount": "2", "unit": "kg"},
        "reason": "spilled"});
    client.post("/v1/waste", &gone)?.success()?;
    let text = |item: &str, because: &str| (item.to_owned(), because.to_owned());
    let expected = [
        text("caster-sugar", "negative"),
        text("strong-white", "short"),
        text("honey", "high-value"),
        text("rye", "cycle"),
    ];
    ensure!(due(client)? == expected, "{:?}", due(client)?);
    let counted = json!({"lot": honey, "counted_at": "2026-06-10T09:10:00+02:00",
        "quantity": {"amount": "25", "unit": "kg"}});
    client.post("/v1/counts", &counted)?.success()?;
    ensure!(!due(client)?.contains(&text("honey", "high-value")), "it was counted just now");
    Ok(())
}
