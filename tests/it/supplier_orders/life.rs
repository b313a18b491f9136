use super::*;

#[test]
fn a_draft_is_made_of_the_sheet_in_one_step_and_to_the_cent() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let order = draft(client)?;
    // Source: alder-yard.md 8.9 D: 2 milk + 2 butter-sheet = 25.20 + 172.00, no carriage.
    let wanted = [("whole-milk".to_owned(), 2), ("butter-sheet".to_owned(), 2)];
    ensure!(packs(&order) == wanted, "{order}");
    for (field, minor_units) in [("goods", 19_720), ("carriage", 0), ("gap", 0), ("total", 19_720)]
    {
        ensure!(order[field]["minor_units"] == minor_units, "{field}: {order}");
    }
    ensure!(order["cutoff"] == "2026-06-10T11:00:00+02:00", "{order}");
    ensure!(order["arrives"] == "2026-06-11T06:00:00+02:00", "{order}");
    ensure!(order["minutes_left"] == 90 && order["state"] == "draft", "{order}");
    ensure!(order["next"] == json!(["edit", "send", "cancel"]), "{order}");
    Ok(())
}

#[test]
fn a_draft_changes_nothing_and_a_sent_order_covers_what_it_brings() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let before = on_sheet(client, "whole-milk")?;
    ensure!(before["pressing"] == "must", "{before}");
    let order = draft(client)?;
    ensure!(on_sheet(client, "whole-milk")? == before, "a draft is no promise");
    step(client, &order, "send", &json!({"who": "Imre", "note": "by mail"}))?;
    let after = on_sheet(client, "whole-milk")?;
    // 2 cases of 12 L at 1.03 kg/L.
    ensure!(after["on_order"]["amount"] == "24720", "{after}");
    ensure!(after["pressing"] == "covered", "{after}");
    let projection = client.get("/v1/items/whole-milk/projection?until=2026-06-13")?.success()?;
    let lots = projection["rows"].to_string();
    ensure!(lots.contains("order dairy-1"), "{projection}");
    Ok(())
}

#[test]
fn two_drafts_never_order_twice() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let first = draft(client)?;
    let body = json!({"supplier": "dairy", "until": "2026-06-13", "who": "Petra"});
    let again = client.post("/v1/supplier-orders", &body)?;
    ensure!(again.is_problem("nothing-to-order")?, "{}", again.text());
    let lines = json!([{"pack": "whole-milk-12-l", "packs": 1}]);
    let own = json!({"supplier": "dairy", "who": "Petra", "lines": lines});
    let reply = client.post("/v1/supplier-orders", &own)?;
    ensure!(reply.is_problem("order-open")?, "{}", reply.text());
    // The same request again, as after a lost answer, is the same draft.
    let under = client.post_under("/v1/supplier-orders", &body, "once")?;
    let replay = client.post_under("/v1/supplier-orders", &body, "once")?;
    ensure!(under.body == replay.body && replay.replayed, "{}", replay.text());
    // Given up, its cutoff is free again, and a new draft asks for the same.
    step(client, &first, "cancel", &json!({"who": "Imre", "note": "wrong supplier"}))?;
    let second = draft(client)?;
    ensure!(packs(&second) == packs(&first) && second["reference"] == "dairy-2", "{second}");
    step(client, &second, "send", &json!({"who": "Imre"}))?;
    let third = client.post("/v1/supplier-orders", &body)?;
    ensure!(
        third.is_problem("nothing-to-order")? && third.text().contains("dairy-2"),
        "{}",
        third.text()
    );
    let rows = client.get("/v1/supplier-orders")?.success()?;
    let states: Vec<&Value> =
        rows["rows"].as_array().context("rows")?.iter().map(|row| &row["state"]).collect();
    ensure!(states == ["cancelled", "sent"], "{rows}");
    Ok(())
}

#[test]
fn an_edit_needs_the_state_that_was_read_and_names_every_fault() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let order = draft(client)?;
    let lines = path(&order, "lines")?;
    let put = |body: &Value, etag: Option<&str>| client.put(&lines, body, etag);
    let wanted = json!({"who": "Imre", "lines": [{"pack": "whole-milk-12-l", "packs": 3}]});
    ensure!(put(&wanted, None)?.is_problem("precondition-required")?);
    let etag = order["etag"].as_str().context("an etag")?;
    let bad = json!({"who": "Imre", "lines": [
        {"pack": "rye-16-kg", "packs": 1}, {"pack": "no-such", "packs": 1},
        {"pack": "whole-milk-12-l", "packs": 0}]});
    let reply = put(&bad, Some(etag))?;
    let pointers: Vec<String> = reply.json()?["errors"]
        .as_array()
        .context("errors")?
        .iter()
        .map(|fault| fault["pointer"].as_str().unwrap_or_default().to_owned())
        .collect();
    ensure!(pointers == ["/lines/0/pack", "/lines/1/pack", "/lines/2/packs"], "{}", reply.text());
    let edited = put(&wanted, Some(etag))?.success()?;
    // 3 x 12.60 and carriage 12.00 below 150.00 (alder-yard.md 8.5, 8.6).
    ensure!(edited["goods"]["minor_units"] == 3_780, "{edited}");
    ensure!(edited["carriage"]["minor_units"] == 1_200, "{edited}");
    ensure!(edited["gap"]["minor_units"] == 11_220, "{edited}");
    ensure!(put(&wanted, Some(etag))?.is_problem("precondition-failed")?, "a stale state");
    step(client, &order, "send", &json!({"who": "Imre"}))?;
    let fresh =
        client.get(&format!("/v1/supplier-orders/{}", order["id"].as_str().context("id")?))?;
    let reply = put(&wanted, fresh.etag.as_deref())?;
    ensure!(reply.is_problem("order-step")?, "{}", reply.text());
    Ok(())
}

#[test]
fn what_the_supplier_cut_is_short_again_at_once() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let order = draft(client)?;
    expect(client, &order, "acknowledge", &json!({"who": "Imre"}), "order-step")?;
    step(client, &order, "send", &json!({"who": "Imre"}))?;
    ensure!(on_sheet(client, "whole-milk")?["pressing"] == "covered");
    let cut = json!({"who": "Imre", "their_reference": "D-778",
        "lines": [{"line": line(&order, "whole-milk")?, "packs": 0, "reason": "out of stock"}]});
    let answered = step(client, &order, "acknowledge", &cut)?;
    ensure!(answered["state"] == "acknowledged" && answered["their_reference"] == "D-778");
    let milk = on_sheet(client, "whole-milk")?;
    ensure!(milk["pressing"] == "must" && milk["on_order"]["amount"] == "0", "{milk}");
    let sheets = on_sheet(client, "butter-sheet")?;
    ensure!(sheets["on_order"]["amount"] == "20", "{sheets}");
    let wrong = json!({"who": "Imre", "lines": [{"line": 9, "packs": 1}]});
    expect(client, &order, "acknowledge", &wrong, "unknown-code")?;
    Ok(())
}

#[test]
fn after_the_cutoff_and_below_a_hard_minimum_somebody_there_must_agree() -> Result<()> {
    let server = demo_server()?;
    let order = draft(server.client())?;
    let lines = json!([{"pack": "fine-salt-25-kg", "packs": 1}]);
    let small = json!({"supplier": "grocer", "who": "Imre", "lines": lines});
    let small = server.client().post("/v1/supplier-orders", &small)?.success()?;
    // Source: alder-yard.md 8.6: the grocer refuses orders below 120.00.
    expect(server.client(), &small, "send", &json!({"who": "Imre"}), "below-minimum")?;
    let server = server.at("2026-06-10T11:00:00+02:00")?;
    let by = json!({"who": "Imre"});
    step(server.client(), &order, "send", &by).context("exactly at the cutoff is in time")?;
    let server = server.at("2026-06-11T15:00:01+02:00")?;
    expect(server.client(), &small, "send", &by, "cutoff-gone")?;
    let agreed = json!({"who": "Imre", "agreed_with": "the order desk"});
    let sent = step(server.client(), &small, "send", &agreed)?;
    ensure!(sent["state"] == "sent", "{sent}");
    // The dairy's order was due at 06:00 and nobody received it: no plan counts on it.
    let sheet = server.client().shortages("2026-06-13")?;
    ensure!(sheet["notes"].to_string().contains("dairy-1 should have come"), "{}", sheet["notes"]);
    ensure!(on_sheet(server.client(), "butter-sheet")?["on_order"]["amount"] == "0");
    Ok(())
}
