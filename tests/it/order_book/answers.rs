//! What an order is answered, version by version.

use super::{equal, loaded, order, ordered};
use anyhow::{Result, ensure};
use serde_json::json;

const ORDER: &str = "/v1/orders/till-2-000481";

/// Source: trade.md 1.2, an amendment is the whole order; one that nobody can make is none.
#[test]
fn a_version_that_is_refused_whole_leaves_the_one_before_it() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    client.post_order(&order(1, &[("sugar-bun", json!(12))]))?.success()?;
    let wrong = order(3, &[("sugar-bun", json!(-3)), ("no-such-bun", json!(6))]);
    let refused = client.post_order(&wrong)?;
    ensure!(refused.status == 200, "{}", refused.text());
    let refused = refused.json()?;
    equal(&refused["state"], &json!("refused"))?;
    equal(&refused["version"], &json!(3))?;
    equal(&refused["version_held"], &json!(1))?;
    let reasons: Vec<_> = refused["lines"].as_array().into_iter().flatten().collect();
    equal(&reasons[0]["reason"], &json!("negative-quantity"))?;
    equal(&reasons[1]["reason"], &json!("unknown-product"))?;
    ensure!(ordered(client, "sugar-bun")? == 12, "the first version stands");
    // Asked again it is answered the same; with other content it is refused.
    equal(&client.post_order(&wrong)?.success()?, &refused)?;
    let other = client.post_order(&order(3, &[("sugar-bun", json!(-4))]))?;
    ensure!(other.is_problem("version-reused")?, "{}", other.text());
    // The history has both; what is held is the first.
    let held = client.get(ORDER)?.success()?;
    equal(&held["version"], &json!(1))?;
    equal(&held["history"][1]["version"], &json!(3))?;
    equal(&held["history"][1]["state"], &json!("refused"))?;
    // A version between them is higher than what is held, and is taken.
    let between = client.post_order(&order(2, &[("sugar-bun", json!(9))]))?.success()?;
    equal(&between["version_held"], &json!(2))?;
    ensure!(ordered(client, "sugar-bun")? == 9);
    // A part that can be made is taken.
    let part = order(4, &[("sugar-bun", json!(7)), ("no-such-bun", json!(6))]);
    let part = client.post_order(&part)?.success()?;
    equal(&part["state"], &json!("part-taken"))?;
    equal(&part["version_held"], &json!(4))?;
    ensure!(ordered(client, "sugar-bun")? == 7);
    Ok(())
}

#[test]
fn all_or_nothing_refused_leaves_the_version_before_it() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    client.post_order(&order(1, &[("sugar-bun", json!(12))]))?.success()?;
    let mut wrong = order(2, &[("sugar-bun", json!(24)), ("croissant", json!(2.5))]);
    wrong["lines_rule"] = json!("all_or_nothing");
    let refused = client.post_order(&wrong)?.success()?;
    equal(&refused["state"], &json!("refused"))?;
    equal(&refused["lines"][0]["reason"], &json!("all-or-nothing"))?;
    equal(&refused["version_held"], &json!(1))?;
    ensure!(ordered(client, "sugar-bun")? == 12);
    // A first version that is refused is held as such, and nothing is made.
    wrong["order_ref"] = json!("till-2-000482");
    let first = client.post_order(&wrong)?;
    ensure!(first.status == 201, "{}", first.text());
    equal(&first.json()?["state"], &json!("refused"))?;
    equal(&first.json()?["version_held"], &json!(2))
}

#[test]
fn each_order_of_a_batch_has_its_own_outcome() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    let mut nobody = order(1, &[("sugar-bun", json!(6))]);
    nobody["customer"] = json!("nobody");
    let mut other = order(1, &[("croissant", json!(4))]);
    other["order_ref"] = json!("till-2-000482");
    let orders = json!({"orders": [
        order(1, &[("sugar-bun", json!(6))]), nobody, {"order_ref": "half"}, other,
        order(3, &[("sugar-bun", json!(8))]), order(2, &[("sugar-bun", json!(50))]),
    ]});
    let answer = client.post("/v1/orders/batch", &orders)?.success()?;
    let outcomes = answer["outcomes"].as_array().cloned().unwrap_or_default();
    let states: Vec<_> = outcomes.iter().map(|outcome| outcome["status"].clone()).collect();
    // Nobody of that name, half an order; then a higher version, and a stale one.
    let expected = [201, 409, 422, 201, 200, 200].map(|status| json!(status));
    ensure!(states == expected, "{states:?}");
    ensure!(ordered(client, "sugar-bun")? == 8 && ordered(client, "croissant")? == 4);
    Ok(())
}

/// Source: trade.md 1.2 and 2.10: the earliest of the customer's cutoff, the product's own and
/// the first step.
#[test]
fn a_product_may_close_before_its_customer() -> Result<()> {
    let server = loaded()?;
    let mut product = server.client().get("/v1/products/country-large")?;
    let mut body = product.json()?;
    body["cutoff"] = json!({"day": -3, "time": "12:00"});
    let etag = product.etag.take();
    server.client().put("/v1/products/country-large", &body, etag.as_deref())?.success()?;
    // For Saturday: Wednesday 10 June, noon; the customer could change it until Thursday.
    let server = server.at("2026-06-10T12:00:00+02:00")?;
    let taken = server.client().post_order(&order(1, &[("country-large", json!(6))]))?.success()?;
    equal(&taken["state"], &json!("taken"))?;
    equal(&taken["lines"][0]["cutoff"], &json!("2026-06-10T12:00:00+02:00"))?;
    let server = server.at("2026-06-10T12:00:01+02:00")?;
    let late = server.client().post_order(&order(2, &[("country-large", json!(8))]))?.success()?;
    equal(&late["state"], &json!("taken-late-asking"))?;
    equal(&late["lines"][0]["reason"], &json!("cutoff"))
}
