//! What was baked yesterday: day-old goods, and never today's fresh ones.

use super::{divided, lots, step};
use anyhow::{Context, Result, ensure};
use serde_json::json;
use weighhouse_tests::{
    demo,
    exact::{parse, whole},
    stockroom::check,
};

#[test]
fn pieces_without_a_load_take_what_they_are_made_of() -> Result<()> {
    let (server, _) = divided()?;
    let client = server.client();
    // Croissants are laminated: no load of theirs is in the book, so the dough leaves as
    // detrempe and butter sheets, and the detrempe as flour, milk and the rest.
    let body = json!({"who": "Emil", "service_date": "2026-06-12",
        "pieces": {"product": "croissant", "started": 100, "good": 97,
                   "rejected": [{"pieces": 3, "reason": "broken"}]}});
    let before = super::stock(client, "butter-sheet")?;
    let made = client.post("/v1/product-lots", &body)?.success()?;
    ensure!(made["lot"] == "260612-p1" && made["left"]["amount"] == "97", "{made}");
    let sheets = before - super::stock(client, "butter-sheet")?;
    // 100 x 80 g / (0.94 x 0.995) x 28/128 of roll-in fat, in sheets of 1 kg (8.1, 8.2).
    let exact = whole(8) / parse("0.9353")? * whole(28) / whole(128);
    let apart = (&sheets - &exact) * whole(1_000_000);
    let one = whole(1);
    ensure!(apart < one && apart > -one, "{sheets} sheets, {exact} by hand");
    check(client)?;
    // The next day an almond croissant is made of them, from yesterday's lot.
    let server = server.at("2026-06-13T05:00:00+02:00")?;
    let client = server.client();
    let body = json!({"who": "Emil", "service_date": "2026-06-13",
        "pieces": {"product": "almond-croissant", "started": 37, "good": 37}});
    client.post("/v1/product-lots", &body)?.success()?;
    let rows = lots(client, "2026-06-12")?;
    let croissants = rows.iter().find(|row| row["product"] == "croissant").context("croissant")?;
    ensure!(croissants["left"]["amount"] == "60", "97 - 37: {croissants}");
    check(client)?;
    Ok(())
}

#[test]
fn undated_pieces_are_sold_on_their_own_day_alone() -> Result<()> {
    let (server, load) = divided()?;
    let net =
        |client: &weighhouse_tests::client::Client, date: &str| -> Result<serde_json::Value> {
            let found = client.requirements(date)?;
            let pieces = found["pieces"].as_array().context("pieces")?;
            Ok(pieces.iter().find(|row| row["product"] == "sugar-bun").context("a row")?.clone())
        };
    let before = net(server.client(), "2026-06-13")?;
    step(server.client(), &load, "baked", &json!({"who": "Emil"}))?;
    ensure!(net(server.client(), "2026-06-13")? == before, "Friday's buns are for Friday");
    let server = server.at("2026-06-13T05:00:00+02:00")?;
    ensure!(net(server.client(), "2026-06-13")? == before, "yesterday's are no fresh ones");
    // Dated by the house they are: the same with a sale life of one day.
    let mut bakery = demo::document("bakery")?;
    let products = bakery["products"].as_array_mut().context("products")?;
    let bun = products.iter_mut().find(|one| one["code"] == "sugar-bun").context("sugar-bun")?;
    bun["sale_life"] = json!({"days": 1, "date": "best_before"});
    let server = server.at(super::MORNING)?;
    let etag = server.client().get("/v1/bakery")?.etag.context("an ETag")?;
    server.client().put("/v1/bakery", &bakery, Some(&etag))?.success()?;
    let body = json!({"who": "Emil", "service_date": "2026-06-12",
        "pieces": {"product": "sugar-bun", "started": 10, "good": 10}});
    server.client().post("/v1/product-lots", &body)?.success()?;
    let server = server.at("2026-06-13T05:00:00+02:00")?;
    let after = net(server.client(), "2026-06-13")?;
    ensure!(after["from_stock"] == 10, "10 of Friday's cover Saturday's: {after}");
    Ok(())
}
