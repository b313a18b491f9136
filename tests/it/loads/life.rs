//! A load's steps: each once, only forwards, and the ledger with them.

use super::{WORK_DATE, demo_server, fixed, left, page, release, step};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::exact::{parse, whole};

#[test]
fn a_load_lives_from_draft_to_sent_and_each_step_has_a_name() -> Result<()> {
    // Source: trade rules 2.10: draft, released, weighed, mixed, divided, baked, packed, sent.
    let server = demo_server()?;
    let client = server.client();
    let list = client.get(&format!("/v1/loads?work_date={WORK_DATE}"))?.success()?;
    let rows = list["rows"].as_array().context("rows")?;
    ensure!(rows.iter().all(|row| row["state"] == "draft"), "{list}");
    let load = release(client, "2026-06-12:bun:1")?;
    let names = ["Ben", "Cem", "Dora", "Emil", "Fay", "Gus"];
    let steps = ["weighings", "mixed", "divided", "baked", "packed", "sent"];
    for (name, word) in names.iter().zip(steps) {
        step(client, &load, word, &json!({"who": name}))?;
    }
    let path = format!("/v1/loads/{}", load["id"].as_str().context("an id")?);
    let reply = client.get(&path)?;
    ensure!(reply.etag.is_some(), "a released load carries an ETag");
    let held = reply.success()?;
    let history = held["history"].as_array().context("a history")?;
    let done: Vec<_> = history.iter().map(|event| (&event["step"], &event["who"])).collect();
    let expected = ["released", "weighed", "mixed", "divided", "baked", "packed", "sent"];
    ensure!(done.iter().map(|(step, _)| *step).eq(expected.iter()), "{done:?}");
    ensure!(done.iter().skip(1).map(|(_, who)| *who).eq(names.iter()), "{done:?}");
    ensure!(held["state"] == "sent" && held["next"] == json!([]), "{held}");
    // Nothing goes backwards, and the answer says so.
    let back = client.post(&format!("{path}/mixed"), &json!({"who": "Hal"}))?;
    ensure!(back.status == 409 && back.is_problem("load-step")?, "{}", back.text());
    // The list shows it under its own id now, and the other load as a draft still.
    let list = client.get(&format!("/v1/loads?work_date={WORK_DATE}"))?.success()?;
    let rows = list["rows"].as_array().context("rows")?;
    let state = |id: &Value| rows.iter().find(|row| row["id"] == *id).map(|row| &row["state"]);
    ensure!(state(&load["id"]) == Some(&json!("sent")), "{list}");
    ensure!(state(&json!("2026-06-12:bun:2")) == Some(&json!("draft")), "{list}");
    Ok(())
}

#[test]
fn a_step_out_of_turn_is_refused_with_those_that_are_possible() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let load = release(client, "2026-06-12:bun:1")?;
    let id = load["id"].as_str().context("an id")?;
    for step in ["mixed", "divided", "baked", "packed", "sent", "count-back"] {
        let mut body = json!({"who": "Ben"});
        if step == "count-back" {
            body["products"] = json!([]);
        }
        let refused = client.post(&format!("/v1/loads/{id}/{step}"), &body)?;
        ensure!(refused.status == 409 && refused.is_problem("load-step")?, "{}", refused.text());
    }
    let refused = client.post(&format!("/v1/loads/{id}/mixed"), &json!({"who": "Ben"}))?.json()?;
    let detail = refused["detail"].as_str().unwrap_or_default();
    ensure!(detail.contains("next it can be: weighed, cancelled"), "{detail}");
    let nameless = client.post(&format!("/v1/loads/{id}/weighings"), &json!({"who": " "}))?;
    ensure!(nameless.status == 422, "who is required: {}", nameless.text());
    let future = json!({"who": "Ben", "happened_at": "2026-06-10T09:31:00+02:00"});
    let future = client.post(&format!("/v1/loads/{id}/weighings"), &future)?;
    ensure!(future.status == 422 && future.is_problem("out-of-range")?, "{}", future.text());
    Ok(())
}

#[test]
fn the_same_step_twice_has_one_effect() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let load = release(client, "2026-06-12:bun:1")?;
    // Under another key, and by the draft's name again.
    ensure!(release(client, "2026-06-12:bun:1")? == load, "a release twice is one");
    let other = client.post("/v1/loads/2026-06-12:bun:1/release", &json!({"who": "Bob"}))?;
    ensure!(other.status == 409 && other.is_problem("load-step")?, "{}", other.text());
    let weighed = step(client, &load, "weighings", &json!({"who": "Ben"}))?;
    let flour = left(client, "strong-white", "SW-1")?;
    ensure!(step(client, &load, "weighings", &json!({"who": "Ben"}))? == weighed, "once");
    ensure!(left(client, "strong-white", "SW-1")? == flour, "flour left once");
    let path = format!("/v1/loads/{}/weighings", load["id"].as_str().context("an id")?);
    let other =
        json!({"who": "Ben", "lines": [{"line": 1, "amount": {"amount": "5200", "unit": "g"}}]});
    let other = client.post(&path, &other)?;
    ensure!(other.status == 409 && other.is_problem("load-step")?, "{}", other.text());
    let mixed = step(client, &load, "mixed", &json!({"who": "Cem"}))?;
    ensure!(step(client, &load, "mixed", &json!({"who": "Cem"}))? == mixed, "one lot of dough");
    let dough = client.get("/v1/lots?item=bun")?.success()?;
    ensure!(dough["rows"].as_array().map(Vec::len) == Some(1), "{dough}");
    Ok(())
}

#[test]
fn weighing_takes_from_the_written_lot_and_the_rest_as_proposed() -> Result<()> {
    // Source: trade rules 7 case 26: the written lot is true, posting moves the draw.
    let server = demo_server()?;
    let client = server.client();
    let (first, second) =
        (left(client, "strong-white", "SW-1")?, left(client, "strong-white", "SW-2")?);
    let salt = left(client, "fine-salt", "SA-1")?;
    let before = page(client, WORK_DATE, "bun", 1)?;
    let line = |item: &str| {
        let lines = before["lines"].as_array().into_iter().flatten();
        lines.into_iter().find(|line| line["item"] == item).cloned().context("a line")
    };
    let flour = line("strong-white")?;
    ensure!(flour["lots"][0]["lot"] == "SW-1" && flour["weigh"]["amount"] == "5160", "{flour}");
    let load = release(client, "2026-06-12:bun:1")?;
    let body = json!({"who": "Ben", "lines": [
        {"line": flour["number"], "lots": [{"lot": "SW-2"}]},
        {"line": line("fine-salt")?["number"], "amount": {"amount": "93.0", "unit": "g"}},
    ]});
    let weighed = step(client, &load, "weighings", &body)?;
    ensure!(weighed["state"] == "weighed", "{weighed}");
    ensure!(left(client, "strong-white", "SW-1")? == first, "the proposed lot is untouched");
    ensure!(
        left(client, "strong-white", "SW-2")? == second - whole(5_160),
        "the written one went down"
    );
    ensure!(left(client, "fine-salt", "SA-1")? == salt - parse("93")?, "what was weighed leaves");
    // A lot that nobody entered is refused unless the hand says that it is new.
    let load = release(client, "2026-06-12:bun:2")?;
    let path = format!("/v1/loads/{}/weighings", load["id"].as_str().context("an id")?);
    let unknown = json!({"who": "Ben", "lines": [
        {"line": flour["number"], "lots": [{"lot": "SW-77"}]}, {"line": 99}
    ]});
    let refused = client.post(&path, &unknown)?;
    ensure!(refused.status == 422, "{}", refused.text());
    let errors = refused.json()?["errors"].as_array().cloned().context("errors")?;
    ensure!(errors.len() == 2 && refused.text().contains("known: SW-1, SW-2"), "{errors:?}");
    let new = json!({"who": "Ben", "lines": [
        {"line": flour["number"], "lots": [{"lot": "SW-77", "new": true}]}
    ]});
    client.post(&path, &new)?.success()?;
    let below = left(client, "strong-white", "SW-77")?;
    ensure!(below < whole(0), "negative stock is allowed, to be counted: {below}");
    Ok(())
}

#[test]
fn what_is_weighed_is_no_longer_planned_and_no_longer_printed_to_be_weighed() -> Result<()> {
    // Source: trade rules 1.3: he throws it away if the reprint makes him weigh done loads again.
    let server = demo_server()?;
    let client = server.client();
    let butter = |client: &weighhouse_tests::client::Client| -> Result<Vec<Value>> {
        let needs = client.requirements(super::SERVICE_DATE)?;
        let needs = needs["needs"].as_array().cloned().context("needs")?;
        Ok(needs
            .into_iter()
            .filter(|need| need["item"] == "butter" && need["for"] == "bun")
            .collect())
    };
    let all = butter(client)?;
    ensure!(all.len() == 1 && all[0]["amount"]["amount"] == "1856", "{all:?}");
    let load = release(client, "2026-06-12:bun:1")?;
    let both: Vec<_> =
        butter(client)?.iter().map(|need| need["amount"]["amount"].clone()).collect();
    ensure!(both == [json!("928"), json!("928")], "one draft, one released: {both:?}");
    let before = page(client, WORK_DATE, "bun", 1)?;
    step(client, &load, "weighings", &json!({"who": "Ben"}))?;
    let left: Vec<_> =
        butter(client)?.iter().map(|need| need["amount"]["amount"].clone()).collect();
    ensure!(left == [json!("928")], "what is weighed is in the ledger: {left:?}");
    let after = page(client, WORK_DATE, "bun", 1)?;
    ensure!(after["done"] == true && after["state_by"]["who"] == "Ben", "{after}");
    ensure!(fixed(&after) == fixed(&before), "it says what it said: {after}");
    let path = format!("/v1/work-dates/{WORK_DATE}/weigh-out");
    let paper = client.get_as(&path, "text/html")?.text();
    ensure!(paper.contains("do NOT weigh these again"), "the done load is named");
    ensure!(paper.contains("Bun dough, load 1 of 2: WEIGHED"), "with who and when");
    ensure!(paper.matches("<h1>Bun dough</h1>").count() == 1, "only load 2 has a page");
    Ok(())
}

#[test]
fn a_mixed_load_is_a_lot_until_it_is_divided_and_old_dough_is_left() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let load = release(client, "2026-06-12:bun:1")?;
    step(client, &load, "weighings", &json!({"who": "Ben"}))?;
    let mixed = json!({"who": "Cem", "dough_temperature": "26.5", "water_temperature": "8",
        "flour_temperature": "18", "room_temperature": "22", "hydration_note": "100 g more"});
    let mixed = step(client, &load, "mixed", &mixed)?;
    let event = mixed["history"].as_array().and_then(|all| all.last()).context("an event")?;
    ensure!(event["body"]["dough_temperature"] == "26.5", "{event}");
    // The weighed lines less what stays in the bowl: 10 207.5 - 100 g (8.9 A and 8.1).
    let name = "bun 2026-06-12 no. 1";
    ensure!(left(client, "bun", name)? == parse("10107.5")?, "{mixed}");
    let too_much = json!({"who": "Dora", "old_dough": {"amount": "11", "unit": "kg"}});
    let path = format!("/v1/loads/{}/divided", load["id"].as_str().context("an id")?);
    let refused = client.post(&path, &too_much)?;
    ensure!(refused.status == 422, "{}", refused.text());
    let divided = json!({"who": "Dora", "old_dough": {"amount": "300", "unit": "g"},
        "waste": {"quantity": {"amount": "50", "unit": "g"}, "reason": "trim not reusable"}});
    step(client, &load, "divided", &divided)?;
    ensure!(left(client, "bun", name)? == whole(300), "the old dough is left");
    let counted = json!({"who": "Emil", "products": [
        {"product": "sugar-bun", "good": 36, "rejected": [{"pieces": 1, "reason": "burnt"}]}]});
    step(client, &load, "baked", &json!({"who": "Emil"}))?;
    let counted = step(client, &load, "count-back", &counted)?;
    ensure!(counted["state"] == "baked", "a count is no state: {counted}");
    Ok(())
}

#[test]
fn a_lost_load_is_waste_and_is_drafted_again_under_another_number() -> Result<()> {
    // Source: trade rules part 5: a failed dough is the same procedure as a dropped load.
    let server = demo_server()?;
    let client = server.client();
    let load = release(client, "2026-06-12:bun:1")?;
    step(client, &load, "weighings", &json!({"who": "Ben"}))?;
    step(client, &load, "mixed", &json!({"who": "Cem"}))?;
    step(client, &load, "lost", &json!({"who": "Cem", "reason": "mixing fault"}))?;
    ensure!(left(client, "bun", "bun 2026-06-12 no. 1")? == whole(0), "its dough is waste");
    let batch = super::batch(client, "bun")?;
    ensure!(batch["held_loads"] == json!([]) && batch["loads"] == 2, "{batch}");
    let pieces = batch["pieces_per_load"].as_array().context("pieces")?;
    let numbers: Vec<_> = pieces.iter().map(|load| load["load"].clone()).collect();
    ensure!(numbers == [json!(2), json!(3)], "its number is not given again: {numbers:?}");
    // Cancelled before anything was weighed: the same, and no stock moved.
    let flour = left(client, "strong-white", "SW-1")?;
    let load = release(client, "2026-06-12:bun:2")?;
    step(client, &load, "cancelled", &json!({"who": "Anna"}))?;
    ensure!(left(client, "strong-white", "SW-1")? == flour, "nothing was weighed");
    ensure!(super::batch(client, "bun")?["loads"] == 2, "two drafts again");
    Ok(())
}

#[test]
fn a_lot_on_hold_is_not_taken_as_proposed() -> Result<()> {
    // Source: trade rules part 4: blocking a lot removes it at once.
    let server = demo_server()?;
    let client = server.client();
    let load = release(client, "2026-06-12:bun:1")?;
    let lots = client.get("/v1/lots?item=strong-white")?.success()?;
    let rows = lots["rows"].as_array().context("rows")?;
    let first = rows.iter().find(|row| row["lot"] == "SW-1").context("SW-1")?;
    let hold = format!("/v1/lots/{}/hold", first["id"].as_str().context("an id")?);
    client.post(&hold, &json!({"reason": "recall"}))?.success()?;
    // The page that is still to be weighed names another lot; amounts stay.
    let held = page(client, WORK_DATE, "bun", 1)?;
    let flour = held["lines"].as_array().context("lines")?.first().context("a line")?.clone();
    ensure!(flour["item"] == "strong-white" && flour["lots"][0]["lot"] == "SW-2", "{flour}");
    let path = format!("/v1/loads/{}/weighings", load["id"].as_str().context("an id")?);
    let refused = client.post(&path, &json!({"who": "Ben"}))?;
    ensure!(refused.status == 422 && refused.text().contains("on hold"), "{}", refused.text());
    let written =
        json!({"who": "Ben", "lines": [{"line": flour["number"], "lots": [{"lot": "SW-2"}]}]});
    client.post(&path, &written)?.success()?;
    Ok(())
}
