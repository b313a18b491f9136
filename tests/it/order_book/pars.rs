//! Counter par by weekday and event: made though nobody ordered it, and shown apart.

use super::{equal, loaded};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo, server::Server};

/// The counter opens with thirty sugar buns on Fridays, and with eighty on a market day.
fn buns() -> Value {
    json!({
        "code": "counter-buns", "customer": "counter", "drop": "07:00", "from": "2026-06-12",
        "days": [{"weekdays": ["fri"], "lines": [{"product": "sugar-bun", "quantity": 30}]}],
        "exceptions": [{"date": "2026-06-19",
            "lines": [{"product": "sugar-bun", "quantity": 80}]}],
    })
}

fn opened() -> Result<Server> {
    let server = loaded()?;
    server.client().put("/v1/pars/counter-buns", &buns(), None)?.success()?;
    Ok(server)
}

/// A booking of the counter for Friday 12 June, which says what it means for par, or nothing.
fn booking(version: i64, pieces: i64, counter_par: Option<&str>) -> Value {
    let mut order = json!({
        "order_ref": "counter-1", "version": version, "customer": "counter",
        "service_date": "2026-06-12", "drop": "09:00",
        "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": pieces}],
    });
    if let Some(word) = counter_par {
        order["counter_par"] = json!(word);
    }
    order
}

fn buns_of(client: &Client, date: &str) -> Result<Value> {
    let answer = client.requirements(date)?;
    let pieces = answer["pieces"].as_array().context("pieces")?;
    Ok(pieces.iter().find(|line| line["product"] == "sugar-bun").cloned().unwrap_or_default())
}

/// Ordered, of par, and net.
fn is(line: &Value, ordered: i64, par: i64, net: i64) -> Result<()> {
    equal(&json!([line["ordered"], line["par"], line["net"]]), &json!([ordered, par, net]))
}

/// Source: trade.md 2.2, step 1: par by weekday and event; 9, par.
#[test]
fn par_is_made_by_weekday_and_event_and_shown_apart_from_orders() -> Result<()> {
    let server = opened()?;
    let client = server.client();
    let friday = buns_of(client, "2026-06-12")?;
    is(&friday, 0, 30, 30)?;
    // 30 / 0.99, rounded up: rejects are grossed as for an order.
    equal(&friday["start"], &json!(31))?;
    is(&buns_of(client, "2026-06-19")?, 0, 80, 80)?;
    is(&buns_of(client, "2026-06-26")?, 0, 30, 30)?;
    ensure!(buns_of(client, "2026-06-13")?.is_null(), "a Saturday has no par");
    let why = client.get(friday["why"].as_str().context("why")?)?.text();
    ensure!(why.contains("counter par, less orders out of it"), "{why}");
    // Its dough has a time: the par names its drop.
    let board = client.get_as("/v1/work-dates/2026-06-10/day-board", "text/html")?.text();
    ensure!(board.contains("30 for counter par"), "{board}");
    ensure!(board.contains("NOT ORDERED: Sugar bun 30 for counter par"), "{board}");
    let bake = client.get("/v1/work-dates/2026-06-12/bake-sheet")?.success()?;
    let counts = bake["counts"].as_array().context("counts")?;
    let count = counts.iter().find(|one| one["product"] == "sugar-bun").context("buns")?;
    equal(&json!([count["par"], count["good_needed"]]), &json!([30, 30]))?;
    let flour = client.shortages("2026-06-12")?.to_string();
    ensure!(flour.contains("counter par"), "what is short for par says so: {flour}");
    Ok(())
}

/// Source: trade.md 1.2, "on top of counter par" or "out of counter par"; 2.2, step 1.
#[test]
fn a_booking_says_whether_it_comes_on_top_of_par_or_out_of_it() -> Result<()> {
    let server = opened()?;
    let client = server.client();
    let silent = client.post_order(&booking(1, 8, None))?.success()?;
    equal(&silent["counter_par"], &Value::Null)?;
    is(&buns_of(client, "2026-06-12")?, 8, 30, 38)?;
    let out = client.post_order(&booking(2, 8, Some("out_of")))?.success()?;
    equal(&out["counter_par"], &json!("out_of"))?;
    is(&buns_of(client, "2026-06-12")?, 8, 22, 30)?;
    let on_top = client.post_order(&booking(3, 8, Some("on_top")))?.success()?;
    equal(&on_top["counter_par"], &json!("on_top"))?;
    is(&buns_of(client, "2026-06-12")?, 8, 30, 38)?;
    // More than the par out of the par: all of it is made, and nothing twice.
    client.post_order(&booking(4, 45, Some("out_of")))?.success()?;
    is(&buns_of(client, "2026-06-12")?, 45, 0, 45)?;
    let unknown = client.post_order(&booking(5, 8, Some("beside")))?;
    ensure!((400..500).contains(&unknown.status), "{}", unknown.text());
    client.post("/v1/orders/counter-1/cancel", &json!({"version": 6}))?.success()?;
    is(&buns_of(client, "2026-06-12")?, 0, 30, 30)
}

/// What is usual for a customer is said once, kept with the order, and an order may differ.
#[test]
fn what_is_usual_for_a_customer_holds_unless_an_order_says_otherwise() -> Result<()> {
    let server = opened()?;
    let client = server.client();
    let mut counter = client.get("/v1/customers/counter")?.success()?;
    counter["counter_par"] = json!("out_of");
    client.put("/v1/customers/counter", &counter, Some("*"))?.success()?;
    let usual = client.post_order(&booking(1, 8, None))?.success()?;
    equal(&usual["counter_par"], &json!("out_of"))?;
    is(&buns_of(client, "2026-06-12")?, 8, 22, 30)?;
    client.post_order(&booking(2, 8, Some("on_top")))?.success()?;
    is(&buns_of(client, "2026-06-12")?, 8, 30, 38)?;
    // A question and a what-if see the same.
    let check = client.post("/v1/orders/check", &booking(3, 20, None))?.success()?;
    equal(&check["lines"][0]["could_be_made"], &json!("yes"))
}

/// Source: trade.md 2.2, step 1: max(0, par less sellable carry-over) + bookings on top.
#[test]
fn what_is_still_sold_is_taken_off_par_after_orders() -> Result<()> {
    let server = opened()?;
    let client = server.client();
    let carried = json!({
        "item": "sugar-bun", "lot": "B-1", "quantity": {"amount": "12", "unit": "each"},
        "received": "2026-06-10", "baked": "2026-06-10", "use_by": "2026-06-12",
    });
    client.post_receipt(&carried)?.success()?;
    is(&buns_of(client, "2026-06-12")?, 0, 30, 18)?;
    client.post_order(&booking(1, 8, Some("on_top")))?.success()?;
    is(&buns_of(client, "2026-06-12")?, 8, 30, 26)?;
    let many = json!({
        "item": "sugar-bun", "lot": "B-2", "quantity": {"amount": "100", "unit": "each"},
        "received": "2026-06-10", "baked": "2026-06-10", "use_by": "2026-06-12",
    });
    client.post_receipt(&many)?.success()?;
    let line = buns_of(client, "2026-06-12")?;
    is(&line, 8, 30, 0)?;
    equal(&line["from_stock"], &json!(38))
}

/// A late booking out of par takes pieces that are begun already, as from overs.
#[test]
fn a_late_booking_out_of_par_is_made_already() -> Result<()> {
    let server = opened()?.at("2026-06-11T15:30:00+02:00")?;
    let client = server.client();
    let late = client.post_order(&booking(1, 8, Some("out_of")))?.success()?;
    let line = &late["lines"][0];
    equal(&json!([line["quantity_taken"], line["reason"]]), &json!([8, "from-overs"]))?;
    is(&buns_of(client, "2026-06-12")?, 8, 22, 30)?;
    let more = client.post_order(&booking(2, 45, Some("out_of")))?.success()?;
    equal(&more["lines"][0]["quantity_taken"], &json!(30))
}

/// Source: trade.md 5, lever 7: counter par down before any order is cut.
#[test]
fn par_is_cut_before_orders() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let rolls = json!({
        "code": "counter-country", "customer": "counter", "drop": "07:00", "from": "2026-06-13",
        "days": [{"weekdays": ["sat"], "lines": [{"product": "country-small", "quantity": 10}]}],
    });
    server.client().put("/v1/pars/counter-country", &rolls, None)?.success()?;
    // After the mill's cutoff: rye is too little for Saturday's country bread.
    let server = server.at("2026-06-10T12:10:00+02:00")?;
    let cuts = server.client().get("/v1/service-dates/2026-06-13/cuts")?.success()?;
    let lines = cuts["lines"].as_array().context("lines")?;
    let par = lines.iter().find(|line| line["wanted"] == "par").context("the par stands apart")?;
    equal(&json!([par["asked"], par["fair"], par["best"]]), &json!([10, 0, 0]))?;
    let paper = server.client().get_as("/v1/service-dates/2026-06-13/cuts", "text/html")?.text();
    ensure!(paper.contains("par</b>, not ordered"), "{paper}");
    // Taken over as a decision, the plan makes what is left.
    let way = json!({"way": "fair", "plan_revision": cuts["plan_revision"], "who": "Anna",
        "note": "no rye"});
    server.client().post("/v1/service-dates/2026-06-13/decisions", &way)?.success()?;
    let after = server.client().requirements("2026-06-13")?;
    let pieces = after["pieces"].as_array().context("pieces")?;
    let small = pieces.iter().find(|line| line["product"] == "country-small").context("small")?;
    equal(&small["par"], &json!(0))
}

/// All faults of a par are told with their places.
#[test]
fn all_faults_of_a_par_are_told_at_once() -> Result<()> {
    let server = loaded()?;
    let mut body = buns();
    body["customer"] = json!("nobody");
    body["days"][0]["lines"][0]["product"] = json!("gold");
    body["exceptions"][0]["date"] = json!("2020-01-01");
    let reply = server.client().put("/v1/pars/counter-buns", &body, None)?;
    let problem = reply.json()?;
    let errors = problem["errors"].as_array().context("errors")?;
    let found: Vec<&str> = errors.iter().filter_map(|error| error["pointer"].as_str()).collect();
    ensure!(found.len() == 3, "{problem}");
    for place in ["customer", "days/0/lines/0/product", "exceptions/0/date"] {
        ensure!(found.iter().any(|pointer| pointer.ends_with(place)), "{place}: {problem}");
    }
    Ok(())
}
