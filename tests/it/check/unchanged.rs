//! A question changes nothing: every list reads the same before and after, byte for byte.

use anyhow::{Result, ensure};
use serde_json::json;
use weighhouse_tests::{client::Client, demo};

/// Everything that an order or a receipt would show in.
const LISTS: [&str; 9] = [
    "/v1/bakery",
    "/v1/orders?limit=1000",
    "/v1/lots?limit=1000",
    "/v1/movements?limit=1000",
    "/v1/stock",
    "/v1/shortages",
    "/v1/service-dates/2026-06-12/requirements",
    "/v1/service-dates/2026-06-13/requirements",
    "/v1/work-dates/2026-06-11/weigh-out",
];

fn lists(client: &Client) -> Result<Vec<Vec<u8>>> {
    LISTS
        .into_iter()
        .map(|path| {
            let reply = client.get(path)?;
            reply.success()?;
            Ok(reply.body)
        })
        .collect()
}

#[test]
fn a_question_is_kept_nowhere() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let before = lists(client)?;
    let order = json!({
        "order_ref": "pier-hotel-2026-06-12", "customer": "pier-hotel",
        "service_date": "2026-06-12", "drop": "07:00",
        "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": 60},
                  {"line_ref": "2", "product": "country-large", "quantity": 5_000}],
    });
    let first = client.post_under("/v1/orders/check", &order, "a-question")?;
    first.success()?;
    let change = json!({
        "orders": [order], "cancellations": ["hill-school-2026-06-12"],
        "lots_gone": [{"item": "rye", "lot": "RY-1"}],
        "balances": [{"item": "butter", "quantity": {"amount": "1", "unit": "kg"}}],
        "teams": [{"team": "bench", "from": "06:00", "to": "14:00"}],
        "dropped": [{"formula": "seed", "service_date": "2026-06-12"}],
    });
    client.post_under("/v1/what-if", &change, "another-question")?.success()?;
    for (path, (was, now)) in LISTS.into_iter().zip(before.iter().zip(&lists(client)?)) {
        ensure!(was == now, "{path} reads otherwise after a question");
    }
    ensure!(client.get("/v1/orders/till-9")?.status == 404, "nothing is held");
    // The plan kept between questions is not answered from once it is stale.
    let again = client.post_under("/v1/orders/check", &order, "a-question")?;
    ensure!(again.body == first.body, "the same question has the same answer");
    let other = json!({
        "order_ref": "x", "version": 1, "customer": "counter", "service_date": "2026-06-12",
        "drop": "07:00", "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": 60}],
    });
    client.post_order(&other)?.success()?;
    let after = client.post_under("/v1/orders/check", &order, "a-question")?.success()?;
    ensure!(after["plan_revision"] != first.json()?["plan_revision"], "a new plan is asked");
    Ok(())
}
