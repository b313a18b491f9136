//! Demand ahead of orders: read off the same weekdays, apart from orders, and in a plan only
//! where a product is switched on.

use anyhow::{Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{demo, server::Server};

const PATH: &str = "/v1/products/sugar-bun/forecast?service_date=2026-06-12";

/// Nine past Fridays, ordered in time; one of them without sugar buns.
fn served() -> Result<Server> {
    let server = Server::start("2026-03-30T09:30:00+02:00")?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    let fridays = ["04-10", "04-17", "04-24", "05-01", "05-08", "05-15", "05-22", "05-29", "06-05"];
    let pieces = [52, 40, 44, 47, 41, 60, 0, 45, 50];
    for (day, pieces) in fridays.iter().zip(pieces) {
        let product = if pieces == 0 { "croissant" } else { "sugar-bun" };
        let order = json!({"order_ref": format!("fri-{day}"), "version": 1, "customer": "counter",
            "service_date": format!("2026-{day}"), "drop": "07:00",
            "lines": [{"line_ref": "1", "product": product, "quantity": pieces.max(1)}]});
        server.client().post_order(&order)?.success()?;
    }
    server.at("2026-06-10T09:30:00+02:00")
}

#[test]
fn the_same_weekday_gives_middle_interval_and_order_up_to() -> Result<()> {
    let server = served()?;
    let view = server.client().get(&format!("{PATH}&interval=60&under=70&over=30"))?.success()?;
    // Sorted: 0 40 41 44 45 47 50 52 60; ranks of 10: second, fifth, eighth, seventh.
    assert_eq!(view["weeks"], 9, "{view}");
    assert_eq!(
        (&view["middle"], &view["low"], &view["high"]),
        (&json!("45"), &json!(40), &json!(52))
    );
    assert_eq!((&view["covers_percent"], &view["order_up_to"]), (&json!("60"), &json!(50)));
    assert_eq!(view["history"][0], json!({"service_date": "2026-06-05", "pieces": 50}));
    assert_eq!(view["ordered"], 0, "orders stand apart");
    // Nobody switched it on: it is in no plan.
    let requirements = server.client().requirements("2026-06-12")?;
    assert_eq!(requirements["pieces"], json!([]));
    Ok(())
}

#[test]
fn too_few_weeks_give_no_forecast_and_half_the_costs_are_refused() -> Result<()> {
    let server = served()?;
    let monday = server.client().get("/v1/products/sugar-bun/forecast?service_date=2026-06-13")?;
    let view = monday.success()?;
    assert_eq!((&view["middle"], &view["order_up_to"]), (&Value::Null, &Value::Null));
    ensure!(view["statement"].to_string().contains("no forecast"), "{view}");
    let half = server.client().get(&format!("{PATH}&under=70"))?;
    ensure!(half.is_problem("invalid-query")?, "{}", half.text());
    let unknown = server.client().get("/v1/products/gold/forecast?service_date=2026-06-12")?;
    ensure!(unknown.status == 404, "{}", unknown.text());
    Ok(())
}

/// The same house, with sugar buns made ahead of orders for the counter.
fn switched_on() -> Result<Server> {
    let server = served()?;
    let mut bun = server.client().get("/v1/products/sugar-bun")?.success()?;
    let money = |minor: i64| json!({"minor_units": minor, "currency": "EUR"});
    bun["made_ahead"] =
        json!({"customer": "counter", "drop": "07:00", "under": money(70), "over": money(30)});
    server.client().put("/v1/products/sugar-bun", &bun, Some("*"))?.success()?;
    Ok(server)
}

fn buns(server: &Server, date: &str) -> Result<Value> {
    let requirements = server.client().requirements(date)?;
    let pieces = requirements["pieces"].as_array().map_or(&[][..], Vec::as_slice);
    Ok(pieces.iter().find(|line| line["product"] == "sugar-bun").cloned().unwrap_or_default())
}

#[test]
fn a_product_that_is_switched_on_is_made_ahead_and_orders_take_its_place() -> Result<()> {
    let server = switched_on()?;
    // 70 / 100 of ten ranks is the seventh: 50 pieces, as in the question above.
    let ahead = buns(&server, "2026-06-12")?;
    assert_eq!(json!([ahead["ordered"], ahead["forecast"], ahead["net"]]), json!([0, 50, 50]));
    let why = server.client().get(ahead["why"].as_str().unwrap_or_default())?.text();
    ensure!(why.contains("forecast, less all orders"), "{why}");
    let board = server.client().get_as("/v1/work-dates/2026-06-10/day-board", "text/html")?.text();
    ensure!(board.contains("NOT ORDERED: Sugar bun 50 by forecast"), "{board}");
    // Saturdays have no history, and other products no switch.
    ensure!(buns(&server, "2026-06-13")?.is_null());
    let order = |version: i64, pieces: i64| {
        json!({"order_ref": "harbour-1", "version": version, "customer": "harbour-cafe",
            "service_date": "2026-06-12", "drop": "07:00",
            "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": pieces}]})
    };
    server.client().post_order(&order(1, 36))?.success()?;
    let some = buns(&server, "2026-06-12")?;
    assert_eq!(json!([some["ordered"], some["forecast"], some["net"]]), json!([36, 14, 50]));
    server.client().post_order(&order(2, 60))?.success()?;
    let more = buns(&server, "2026-06-12")?;
    assert_eq!(json!([more["ordered"], more["forecast"], more["net"]]), json!([60, 0, 60]));
    Ok(())
}

#[test]
fn no_forecast_is_made_once_no_order_can_come() -> Result<()> {
    // All customers of the demo have their cutoff on Wednesday at 17:00.
    let server = switched_on()?.at("2026-06-10T17:00:00+02:00")?;
    assert_eq!(buns(&server, "2026-06-12")?["forecast"], 50, "a cutoff exactly now is open");
    let server = server.at("2026-06-10T17:01:00+02:00")?;
    ensure!(buns(&server, "2026-06-12")?.is_null(), "what comes now is late");
    assert_eq!(buns(&server, "2026-06-19")?["forecast"], 50);
    Ok(())
}

#[test]
fn a_switch_without_costs_or_with_an_unknown_customer_is_refused() -> Result<()> {
    let server = served()?;
    let mut bun = server.client().get("/v1/products/sugar-bun")?.success()?;
    let none = json!({"minor_units": 0, "currency": "EUR"});
    bun["made_ahead"] =
        json!({"customer": "counter", "drop": "07:00", "under": none, "over": none});
    let free = server.client().put("/v1/products/sugar-bun", &bun, Some("*"))?;
    ensure!(free.text().contains("made_ahead/under"), "{}", free.text());
    bun["made_ahead"]["under"]["minor_units"] = json!(1);
    bun["made_ahead"]["customer"] = json!("nobody");
    let unknown = server.client().put("/v1/products/sugar-bun", &bun, Some("*"))?;
    ensure!(unknown.text().contains("made_ahead/customer"), "{}", unknown.text());
    Ok(())
}
