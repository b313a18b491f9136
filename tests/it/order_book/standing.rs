//! Standing orders, and posted orders beside them.

use super::{equal, loaded, order, ordered, ordered_on};
use anyhow::{Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::server::Server;

/// The harbour café's twelve buns on Fridays and Saturdays at 07:00, from Friday 12 June.
fn buns() -> Value {
    json!({
        "code": "harbour-buns", "customer": "harbour-cafe", "drop": "07:00", "from": "2026-06-12",
        "days": [{"weekdays": ["fri", "sat"], "lines": [{"product": "sugar-bun", "quantity": 12}]}],
    })
}

fn standing(change: impl FnOnce(&mut Value)) -> Result<Server> {
    let server = loaded()?;
    let mut body = buns();
    change(&mut body);
    server.client().put("/v1/standing-orders/harbour-buns", &body, None)?.success()?;
    Ok(server)
}

/// Source: trade.md 2.10: weekday pattern, from and until, pause, one-day exception.
#[test]
fn a_standing_order_becomes_the_orders_of_its_dates() -> Result<()> {
    let server = standing(|body| {
        body["until"] = json!("2026-06-20");
        body["pauses"] = json!([{"from": "2026-06-19", "until": "2026-06-19"}]);
        body["exceptions"] = json!([{"date": "2026-06-20",
            "lines": [{"product": "sugar-bun", "quantity": 30}]}]);
    })?;
    let client = server.client();
    let on = |date: &str| ordered_on(client, date, "sugar-bun");
    ensure!(on("2026-06-12")? == 12 && on("2026-06-13")? == 12);
    ensure!(on("2026-06-11")? == 0, "a Thursday");
    ensure!(on("2026-06-19")? == 0, "paused");
    ensure!(on("2026-06-20")? == 30, "an exception");
    ensure!(on("2026-06-26")? == 0, "after its end");
    // The dough is planned with it: weighed on Wednesday at 12:54 as in Alder-yard E.
    let answer = client.requirements("2026-06-12")?;
    let doughs = answer["batches"].as_array().into_iter().flatten();
    ensure!(doughs.clone().any(|batch| batch["formula"] == "bun"), "{answer}");
    Ok(())
}

/// Source: trade.md 7, case 9.
#[test]
fn case_9_a_posted_order_beside_a_standing_one_is_held_until_somebody_says_which() -> Result<()> {
    let server = standing(|_| ())?;
    let client = server.client();
    let silent = order(1, &[("sugar-bun", json!(20)), ("no-such-bun", json!(1))]);
    let asked = client.post("/v1/orders/check", &silent)?.success()?;
    equal(&asked["would_be"], &json!("held-duplicate"))?;
    let held = client.post_order(&silent)?.success()?;
    equal(&held["state"], &json!("held-duplicate"))?;
    equal(&held["lines"][0]["state"], &json!("held"))?;
    equal(&held["lines"][0]["reason"], &json!("standing-order"))?;
    equal(&held["lines"][0]["quantity_taken"], &json!(0))?;
    equal(&held["lines"][1]["reason"], &json!("unknown-product"))?;
    ensure!(ordered(client, "sugar-bun")? == 12, "it is not added");
    // Nobody overlooks it.
    let board = client.get("/v1/work-dates/2026-06-11/day-board")?.success()?;
    let text = board["exceptions"].to_string();
    ensure!(text.contains("till-2-000481") && text.contains("standing order"), "{text}");
    // It replaces it.
    let mut replaces = order(2, &[("sugar-bun", json!(20))]);
    replaces["standing"] = json!("replaces");
    let taken = client.post_order(&replaces)?.success()?;
    equal(&taken["state"], &json!("taken"))?;
    equal(&taken["standing"], &json!("replaces"))?;
    ensure!(ordered(client, "sugar-bun")? == 20);
    // What it meant once, its next version means too.
    client.post_order(&order(3, &[("sugar-bun", json!(18))]))?.success()?;
    ensure!(ordered(client, "sugar-bun")? == 18);
    // Called off, the customer wants nothing then; the pattern of other days stands.
    client.post("/v1/orders/till-2-000481/cancel", &json!({"version": 4}))?.success()?;
    ensure!(ordered(client, "sugar-bun")? == 0);
    ensure!(ordered_on(client, "2026-06-12", "sugar-bun")? == 12);
    Ok(())
}

#[test]
fn an_order_on_top_of_a_standing_one_is_added() -> Result<()> {
    let server = standing(|_| ())?;
    let client = server.client();
    let mut adds = order(1, &[("sugar-bun", json!(5))]);
    adds["standing"] = json!("adds");
    equal(&client.post_order(&adds)?.success()?["state"], &json!("taken"))?;
    ensure!(ordered(client, "sugar-bun")? == 17);
    // Another drop of the same day is another delivery.
    let mut later = order(1, &[("sugar-bun", json!(3))]);
    later["order_ref"] = json!("till-2-000482");
    later["drop"] = json!("11:00");
    equal(&client.post_order(&later)?.success()?["state"], &json!("taken"))?;
    ensure!(ordered(client, "sugar-bun")? == 20);
    Ok(())
}

#[test]
fn an_order_that_was_there_first_is_not_doubled_by_a_later_standing_order() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    client.post_order(&order(1, &[("sugar-bun", json!(8))]))?.success()?;
    client.put("/v1/standing-orders/harbour-buns", &buns(), None)?.success()?;
    ensure!(ordered(client, "sugar-bun")? == 8);
    client.post_order(&order(2, &[("sugar-bun", json!(9))]))?.success()?;
    ensure!(ordered(client, "sugar-bun")? == 9, "its next version stands alone too");
    client.post("/v1/orders/till-2-000481/cancel", &json!({"version": 3}))?.success()?;
    ensure!(ordered(client, "sugar-bun")? == 12, "without it the standing order stands");
    Ok(())
}

/// After Wednesday 12:54 the dough of Friday's buns is weighed (Alder-yard E).
#[test]
fn what_a_standing_order_had_made_is_not_made_again_for_what_replaces_it() -> Result<()> {
    let server = standing(|_| ())?.at("2026-06-10T14:00:00+02:00")?;
    let client = server.client();
    let mut fewer = order(1, &[("sugar-bun", json!(8))]);
    fewer["service_date"] = json!("2026-06-12");
    fewer["standing"] = json!("replaces");
    let taken = client.post_order(&fewer)?.success()?;
    equal(&taken["lines"][0]["quantity_taken"], &json!(8))?;
    equal(&taken["lines"][0]["surplus"], &json!(4))?;
    equal(&taken["lines"][0]["reason"], &json!("surplus"))
}

#[test]
fn all_faults_of_a_standing_order_are_told_at_once() -> Result<()> {
    let server = loaded()?;
    let body = json!({
        "code": "harbour-buns", "customer": "nobody", "drop": "07:00", "from": "2026-06-12",
        "until": "2026-06-01",
        "days": [{"weekdays": ["fri"], "lines": [{"product": "no-such-bun", "quantity": 0}]},
                 {"weekdays": ["fri"], "lines": []}],
        "pauses": [{"from": "2026-07-02", "until": "2026-07-01"}],
        "exceptions": [{"date": "2026-06-11", "lines": []}],
    });
    let refused = server.client().put("/v1/standing-orders/harbour-buns", &body, None)?;
    ensure!(refused.status == 422, "{}", refused.text());
    let text = refused.text();
    for pointer in [
        "/customer",
        "/until",
        "/days/0/lines/0/product",
        "/days/0/lines/0/quantity",
        "/days/1/weekdays/0",
        "/pauses/0/until",
        "/exceptions/0/date",
    ] {
        ensure!(text.contains(&format!("\"{pointer}\"")), "{pointer} is not told: {text}");
    }
    Ok(())
}
