//! Demand ahead of orders: read off the same weekdays, apart from orders and plans.

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
    // It is in no plan.
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
