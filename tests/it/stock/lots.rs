//! States of a lot, its dates, and where it lies.

use anyhow::{Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{
    client::Client,
    stockroom::{check, id, open, receive, refused},
};

fn act(client: &Client, lot: &str, what: &str, body: &Value) -> Result<Value> {
    client.post(&format!("/v1/lots/{lot}/{what}"), body)?.success()
}

#[test]
fn past_use_by_is_never_accepted_and_past_best_before_only_by_a_name() -> Result<()> {
    // Source: trade.md 4, lot.
    let server = open()?;
    let client = server.client();
    let milk = json!({"item": "whole-milk", "lot": "M-1", "use_by": "2026-06-09",
        "quantity": {"amount": "9", "unit": "L"}, "place": "chiller"});
    let milk = id(&receive(client, &milk)?)?;
    let accept = json!({"who": "Imre", "until": "2026-06-20", "reason": "smells fine"});
    let path = format!("/v1/lots/{milk}/accept-past-date");
    refused(client, &path, &accept, "past-use-by")?;
    let rye = receive(client, &json!({"best_before": "2026-06-09"}))?;
    ensure!(rye["use_until"]["because"] == "best-before", "{rye}");
    let rye = id(&rye)?;
    let path = format!("/v1/lots/{rye}/accept-past-date");
    let nameless = client.post(&path, &json!({"until": "2026-06-20", "reason": "dry"}))?;
    ensure!(nameless.status == 422, "a name is asked for: {}", nameless.text());
    let same = json!({"who": "Imre", "until": "2026-06-09", "reason": "dry"});
    refused(client, &path, &same, "out-of-range")?;
    let accepted = client.post(&path, &accept)?.success()?;
    ensure!(accepted["use_until"]["because"] == "accepted", "{accepted}");
    ensure!(accepted["use_until"]["until"] == "2026-06-20T23:59:59+02:00", "{accepted}");
    ensure!(accepted["accepted_by"] == "Imre", "{accepted}");
    let entries = client.get(&format!("/v1/movements?lot={rye}"))?.success()?;
    ensure!(entries["rows"][1]["kind"] == "accept" && entries["rows"][1]["who"] == "Imre");
    check(client)?;
    Ok(())
}

#[test]
fn a_lot_that_was_accepted_covers_a_need_and_one_that_was_not_does_not() -> Result<()> {
    let server = open()?;
    let client = server.client();
    let order = json!({"order_ref": "t-1", "version": 1, "customer": "harbour-cafe",
        "service_date": "2026-06-12", "drop": "07:00",
        "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": 480}]});
    client.post_order(&order)?.success()?;
    let flour = json!({"item": "strong-white", "lot": "SW-1", "best_before": "2026-06-09",
        "quantity": {"amount": "100", "unit": "kg"}});
    let flour = id(&receive(client, &flour)?)?;
    let short = |client: &Client| -> Result<bool> {
        let sheet = client.shortages("2026-06-13")?;
        let groups = sheet["groups"].as_array().cloned().unwrap_or_default();
        let mut lines = groups.iter().filter_map(|group| group["lines"].as_array()).flatten();
        Ok(lines.any(|line| line["item"] == "strong-white"))
    };
    ensure!(short(client)?, "past its best-before it is not counted on");
    let accept = json!({"who": "Imre", "until": "2026-06-20", "reason": "sample baked well"});
    act(client, &flour, "accept-past-date", &accept)?;
    ensure!(!short(client)?, "accepted, it is");
    Ok(())
}

#[test]
fn a_state_that_may_not_follow_is_refused_and_names_those_that_may() -> Result<()> {
    let server = open()?;
    let client = server.client();
    let lot = id(&receive(client, &json!({}))?)?;
    let said = refused(client, &format!("/v1/lots/{lot}/thaw"), &json!({}), "wrong-state")?;
    ensure!(said.contains("may become hold, open, frozen") && said.contains("thawing"), "{said}");
    act(client, &lot, "block", &json!({"reason": "weevils"}))?;
    let path = format!("/v1/lots/{lot}/release");
    let said = refused(client, &path, &json!({"reason": "looks clean"}), "wrong-state")?;
    ensure!(said.contains("may become hold, recalled, returned, wasted"), "{said}");
    act(client, &lot, "hold", &json!({"reason": "look again", "who": "Imre"}))?;
    let free = act(client, &lot, "release", &json!({"reason": "clean", "who": "Imre"}))?;
    ensure!(free["state"] == "released" && free["hold_reason"].is_null(), "{free}");
    check(client)?;
    Ok(())
}

#[test]
fn an_opened_pack_ends_sooner_and_is_not_unopened_by_a_hold() -> Result<()> {
    // Source: trade.md 4: milk keeps 3 days once opened.
    let server = open()?;
    let client = server.client();
    let milk = json!({"item": "whole-milk", "lot": "M-1", "use_by": "2026-06-20",
        "quantity": {"amount": "9", "unit": "L"}, "place": "chiller"});
    let milk = id(&receive(client, &milk)?)?;
    let opened = act(client, &milk, "open", &json!({"at": "2026-06-10T05:00:00+02:00"}))?;
    ensure!(opened["state"] == "open", "{opened}");
    let end = json!({"until": "2026-06-13T05:00:00+02:00", "because": "opened"});
    ensure!(opened["use_until"] == end, "{opened}");
    let late = json!({"at": "2026-06-10T09:30:01+02:00"});
    refused(client, &format!("/v1/lots/{milk}/open"), &late, "out-of-range")?;
    act(client, &milk, "hold", &json!({"reason": "left out"}))?;
    let free = act(client, &milk, "release", &json!({"reason": "cold all the time"}))?;
    ensure!(free["state"] == "open", "{free}");
    Ok(())
}

#[test]
fn freezing_keeps_the_days_left_and_happens_once() -> Result<()> {
    // Source: trade.md 4, freezing. By hand: frozen on 8 June with use-by 10 June, 2 days are
    // left; thawed on 10 June it keeps to the end of 12 June, its thawed life of 2 days ends
    // at 05:00 before that.
    let server = open()?;
    let client = server.client();
    let butter = json!({"item": "butter", "lot": "B-1", "use_by": "2026-06-10",
        "quantity": {"amount": "10", "unit": "kg"}, "place": "chiller"});
    let butter = id(&receive(client, &butter)?)?;
    let frozen =
        act(client, &butter, "freeze", &json!({"at": "2026-06-08T10:00:00+02:00", "who": "Imre"}))?;
    ensure!(frozen["state"] == "frozen" && frozen["frozen_days_left"] == 2, "{frozen}");
    ensure!(frozen["use_until"].is_null(), "its date stands still: {frozen}");
    let thawed = act(client, &butter, "thaw", &json!({"at": "2026-06-10T05:00:00+02:00"}))?;
    ensure!(thawed["state"] == "thawed", "butter needs no thawing time here: {thawed}");
    let end = json!({"until": "2026-06-12T05:00:00+02:00", "because": "thawed"});
    ensure!(thawed["use_until"] == end, "{thawed}");
    let path = format!("/v1/lots/{butter}/freeze");
    let said = refused(client, &path, &json!({}), "wrong-state")?;
    ensure!(said.contains("second freeze"), "{said}");
    // What is past its use is not frozen at all, and nobody guesses how long a thing keeps.
    let old = json!({"item": "butter", "lot": "B-0", "use_by": "2026-06-09",
        "quantity": {"amount": "1", "unit": "kg"}});
    let old = id(&receive(client, &old)?)?;
    refused(client, &format!("/v1/lots/{old}/freeze"), &json!({}), "past-use-by")?;
    // What came frozen keeps its printed date, and is still frozen after a hold.
    let rye = receive(client, &json!({"state": "frozen", "best_before": "2026-06-30"}))?;
    ensure!(rye["use_until"]["because"] == "best-before", "{rye}");
    let rye = id(&rye)?;
    act(client, &rye, "hold", &json!({"reason": "box torn"}))?;
    let free = act(client, &rye, "release", &json!({"reason": "bag inside is whole"}))?;
    ensure!(free["state"] == "frozen", "{free}");
    refused(client, &format!("/v1/lots/{rye}/freeze"), &json!({}), "wrong-state")?;
    refused(client, &format!("/v1/lots/{rye}/thaw"), &json!({}), "no-thawed-life")?;
    let thawed = act(client, &rye, "thaw", &json!({"life": "PT12H"}))?;
    ensure!(thawed["use_until"]["because"] == "thawed", "{thawed}");
    check(client)?;
    Ok(())
}

#[test]
fn a_move_sums_to_nothing_and_the_lot_lies_where_most_of_it_is() -> Result<()> {
    // Source: check-values.md 6, invariant 4.
    let server = open()?;
    let client = server.client();
    let rye = id(&receive(client, &json!({}))?)?;
    let some = json!({"lot": rye, "to": "weigh-room", "quantity": {"amount": "10", "unit": "kg"}});
    let moved = client.post("/v1/moves", &some)?.success()?;
    ensure!(moved["lot"]["quantity"]["amount"] == "25000", "{moved}");
    ensure!(moved["lot"]["place"] == "dry-store", "most of it is still there: {moved}");
    let rest = json!({"lot": rye, "to": "weigh-room"});
    let moved = client.post("/v1/moves", &rest)?.success()?;
    ensure!(moved["moved"]["amount"] == "15000", "all that lay there: {moved}");
    ensure!(moved["lot"]["place"] == "weigh-room", "{moved}");
    for (body, slug) in [
        (json!({"lot": rye, "to": "attic"}), "unknown-code"),
        (json!({"lot": rye, "to": "weigh-room"}), "field-mismatch"),
        (json!({"lot": rye, "to": "chiller", "from": "dry-store"}), "out-of-range"),
    ] {
        refused(client, "/v1/moves", &body, slug)?;
    }
    // A move is taken back at both ends.
    let half = moved["movements"][0].as_str().unwrap_or_default();
    let path = format!("/v1/movements/{half}/correct");
    let back = client.post(&path, &json!({"reason": "it was carried back"}))?.success()?;
    ensure!(back["movements"].as_array().map(Vec::len) == Some(2), "{back}");
    let lot = client.get(&format!("/v1/lots/{rye}"))?.success()?;
    let places = json!([
        {"place": "dry-store", "quantity": {"amount": "15000", "unit": "g"}},
        {"place": "weigh-room", "quantity": {"amount": "10000", "unit": "g"}},
    ]);
    ensure!(lot["places"] == places, "{lot}");
    check(client)?;
    Ok(())
}

#[test]
fn a_delivery_does_not_make_good_what_another_lot_is_overdrawn_by() -> Result<()> {
    // Source: trade.md 7, case 16: negative book stock is shown, never available, and asks to
    // be counted.
    let server = open()?;
    let client = server.client();
    let rye = id(&receive(client, &json!({"quantity": {"amount": "1", "unit": "kg"}}))?)?;
    let waste = json!({"lot": rye, "quantity": {"amount": "4.2", "unit": "kg"},
        "reason": "spilled"});
    let wasted = client.post("/v1/waste", &waste)?.success()?;
    ensure!(wasted["lot"]["count_me"] == true, "{wasted}");
    ensure!(wasted["lot"]["quantity"]["amount"] == "-3200", "{wasted}");
    receive(client, &json!({"lot": "RY-10"}))?;
    let stock = client.get("/v1/stock")?.success()?;
    ensure!(stock["rows"][0]["on_hand"]["amount"] == "21800", "the book shows it: {stock}");
    let due = client.get("/v1/counts/due")?.success()?;
    ensure!(due["rows"][0]["item"] == "rye" && due["rows"][0]["because"] == "negative", "{due}");
    Ok(())
}

#[test]
fn what_goes_back_leaves_stock_with_its_credit_note() -> Result<()> {
    let server = open()?;
    let client = server.client();
    let rye = id(&receive(client, &json!({}))?)?;
    let some = json!({"reason": "torn", "quantity": {"amount": "5", "unit": "kg"},
        "document": "credit note 12"});
    let left = act(client, &rye, "return", &some)?;
    ensure!(left["quantity"]["amount"] == "20000" && left["state"] == "released", "{left}");
    let gone = act(client, &rye, "return", &json!({"reason": "the rest too"}))?;
    ensure!(gone["quantity"]["amount"] == "0" && gone["state"] == "returned", "{gone}");
    let entries = client.get(&format!("/v1/movements?lot={rye}"))?.success()?;
    ensure!(entries["rows"][1]["document"] == "credit note 12", "{entries}");
    // The entry is taken back: a person looks before it is used.
    let last = entries["rows"][2]["id"].as_str().unwrap_or_default();
    let path = format!("/v1/movements/{last}/correct");
    client.post(&path, &json!({"reason": "the van was full"}))?.success()?;
    let lot = client.get(&format!("/v1/lots/{rye}"))?.success()?;
    ensure!(lot["state"] == "hold" && lot["quantity"]["amount"] == "20000", "{lot}");
    check(client)?;
    Ok(())
}

#[test]
fn a_sack_is_opened_apart_and_what_is_left_when_it_is_empty_was_lost_on_the_scale() -> Result<()> {
    // Source: trade.md 4: part-used sacks are their own sub-lot in the weigh room, closed by
    // "sack empty", and the residual goes to weighing loss; opened life counts per pack.
    let server = open()?;
    let client = server.client();
    let milk = json!({"item": "whole-milk", "lot": "M-1", "use_by": "2026-06-20",
        "quantity": {"amount": "9", "unit": "L"}, "place": "chiller"});
    let milk = id(&receive(client, &milk)?)?;
    let carton = json!({"at": "2026-06-10T05:00:00+02:00", "place": "weigh-room",
        "quantity": {"amount": "1", "unit": "L"}});
    let opened = act(client, &milk, "open", &carton)?;
    ensure!(opened["id"] != milk.as_str() && opened["lot"] == "M-1", "{opened}");
    ensure!(opened["state"] == "open" && opened["place"] == "weigh-room", "{opened}");
    ensure!(opened["use_until"]["until"] == "2026-06-13T05:00:00+02:00", "{opened}");
    let sealed = client.get(&format!("/v1/lots/{milk}"))?.success()?;
    ensure!(sealed["quantity"]["amount"] == "8240" && sealed["state"] == "released", "{sealed}");
    ensure!(sealed["use_until"]["because"] == "use-by", "eight are still sealed: {sealed}");
    // A litre is 1 030 g (8.5). 1 015 g were weighed of it; the rest stuck to the carton.
    let open_pack = id(&opened)?;
    let used = json!({"lot": open_pack, "quantity": {"amount": "1015", "unit": "g"},
        "reason": "spilled"});
    client.post("/v1/waste", &used)?.success()?;
    let gone = act(client, &open_pack, "empty", &json!({"who": "Imre"}))?;
    ensure!(gone["quantity"]["amount"] == "0" && gone["state"] == "used-up", "{gone}");
    let entries = client.get(&format!("/v1/movements?lot={open_pack}"))?.success()?;
    let rows = entries["rows"].as_array().cloned().unwrap_or_default();
    let lost = rows.iter().find(|row| row["reason"] == "weighing loss");
    ensure!(lost.is_some_and(|row| row["amount"]["amount"] == "-15"), "{entries}");
    // More was weighed of the next one than a carton holds: the book had it wrong.
    let next = act(client, &milk, "open", &carton)?;
    let next = id(&next)?;
    let more = json!({"lot": next, "quantity": {"amount": "1040", "unit": "g"},
        "reason": "spilled"});
    client.post("/v1/waste", &more)?.success()?;
    let gone = act(client, &next, "empty", &json!({"who": "Imre"}))?;
    ensure!(gone["quantity"]["amount"] == "0", "{gone}");
    for (body, slug) in [
        (json!({"quantity": {"amount": "8", "unit": "L"}}), "out-of-range"),
        (json!({"quantity": {"amount": "1", "unit": "L"}, "place": "attic"}), "unknown-code"),
    ] {
        refused(client, &format!("/v1/lots/{milk}/open"), &body, slug)?;
    }
    // The opened cartons are the same milk to a trace.
    let trace = client.get(&format!("/v1/lots/{milk}/trace"))?.success()?;
    ensure!(trace.to_string().contains(&next), "{trace}");
    check(client)?;
    Ok(())
}
