//! Cases 21, 31 and 32: leap days, two drops of one customer, and "tomorrow".

use super::{equal, house, order, serve};
use anyhow::{Context, Result, ensure};
use serde_json::json;

#[test]
fn case_21_a_leap_day_is_a_day_like_any_other() -> Result<()> {
    let server = serve(&house(|_| ()), "2028-02-27T09:00:00+01:00")?;
    let client = server.client();
    let taken = client.post_order(&order(1, "2028-02-29", "loaf", 20))?.success()?;
    equal(&taken["lines"][0]["quantity_taken"], &json!(20))?;
    let found = super::batch(&client.requirements("2028-02-29")?, "dough")?;
    equal(&found["made_at"], &json!("2028-02-28T11:00:00+01:00"))?;
    let mut never = order(1, "2029-02-29", "loaf", 20);
    never["order_ref"] = json!("bar-2");
    let refused = client.post_order(&never)?;
    ensure!(refused.status == 422 || refused.status == 400, "{}", refused.text());
    Ok(())
}

#[test]
fn case_21_a_tuesday_cutoff_holds_on_a_leap_tuesday() -> Result<()> {
    let bakery = house(|bakery| {
        bakery["suppliers"] = json!([{
            "code": "mill", "name": "The mill", "time_zone": "Europe/Amsterdam",
            "holidays": [], "delivery_on_holiday": "later",
            "minimum_order": {"minor_units": 0, "currency": "EUR"}, "below_minimum": "carriage",
            "carriage": {"minor_units": 0, "currency": "EUR"},
            "deliveries": [{"order_day": "tue", "cutoff": "12:00", "delivery_day": "wed",
                            "window_from": "07:00", "window_to": "10:00"}],
        }]);
        bakery["packs"] = json!([{
            "code": "flour-25", "item": "flour", "supplier": "mill",
            "holds": {"amount": "25", "unit": "kg"},
            "price": {"minor_units": 2125, "currency": "EUR"},
        }]);
    });
    // 29 February 2028 is a Tuesday; the dough for Friday 3 March is mixed on Thursday.
    let server = serve(&bakery, "2028-02-28T09:00:00+01:00")?;
    let client = server.client();
    client.post_order(&order(1, "2028-03-03", "loaf", 20))?.success()?;
    let shortages = client.shortages("2028-03-04")?;
    let text = shortages.to_string();
    ensure!(text.contains("2028-02-29T12:00:00+01:00"), "the cutoff of the leap day: {text}");
    Ok(())
}

#[test]
fn case_32_an_order_without_a_date_is_refused_and_never_guessed() -> Result<()> {
    let server = serve(&house(|_| ()), "2026-06-11T00:30:00+02:00")?;
    let client = server.client();
    let mut tomorrow = order(1, "2026-06-11", "loaf", 20);
    tomorrow.as_object_mut().context("an order")?.remove("service_date");
    let refused = client.post_order(&tomorrow)?;
    ensure!((400..500).contains(&refused.status), "{}", refused.text());
    ensure!(refused.text().contains("service_date"), "it says what is missing: {}", refused.text());
    ensure!(client.get("/v1/orders/bar-1")?.status == 404, "nothing is held");
    Ok(())
}

#[test]
fn case_31_two_drops_of_one_customer_are_ready_each_at_its_own_time() -> Result<()> {
    let bakery = house(|bakery| {
        bakery["routes"] = json!([{"code": "way", "limits": [], "steps": [
            {"step": "mix", "minutes": 20, "station": {"kind": "mixer"}},
            {"step": "prove", "window": {"least": "PT8H", "most": "PT16H"}},
            {"step": "bake", "minutes": 40},
            {"step": "drive", "minutes": 20},
        ]}]);
        bakery["formulas"][0]["made"] = json!({"by_products": "mix"});
        bakery["products"][0]["route"] = json!("way");
    });
    let server = serve(&bakery, super::NOW)?;
    let client = server.client();
    for (number, drop, pieces) in [(1, "06:00", 12), (2, "11:00", 8)] {
        let mut asked = order(1, super::SERVICE_DATE, "loaf", pieces);
        asked["order_ref"] = json!(format!("bar-{number}"));
        asked["drop"] = json!(drop);
        client.post_order(&asked)?.success()?;
    }
    let path = format!("/v1/service-dates/{}/schedule", super::SERVICE_DATE);
    let schedule = client.get(&path)?.success()?;
    let products = schedule["products"].as_array().context("products")?;
    let bakes: Vec<_> = products
        .iter()
        .map(|run| {
            let steps = run["steps"].as_array().into_iter().flatten();
            let bake = steps.clone().find(|step| step["step"] == "bake");
            (run["pieces"].clone(), bake.map(|bake| bake["end"].clone()))
        })
        .collect();
    let out = |at: &str| Some(json!(at));
    // Each leaves the oven twenty minutes before its own drop; one mix serves both.
    ensure!(
        bakes
            == [
                (json!(12), out("2026-06-12T05:40:00+02:00")),
                (json!(8), out("2026-06-12T10:40:00+02:00")),
            ],
        "{schedule}"
    );
    let batches = schedule["batches"].as_array().context("batches")?;
    ensure!(batches.len() == 1, "one mix for both drops: {schedule}");
    Ok(())
}
