//! What was baked yesterday: day-old goods, and never today's fresh ones.

use super::{divided, lots, step};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{
    client::Client,
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

/// The line of a product on one of the two lists of a date.
fn picked(client: &Client, date: &str, product: &str) -> Result<Vec<Value>> {
    let list = client.get(&format!("/v1/work-dates/{date}/pick-list"))?.success()?;
    let all = ["pull", "stores"].iter().filter_map(|part| list[part].as_array()).flatten();
    Ok(all.filter(|line| line["item"] == product).cloned().collect())
}

fn taken(line: &Value) -> Vec<(String, String)> {
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let lots = line["lots"].as_array().cloned().unwrap_or_default();
    lots.iter().map(|lot| (text(&lot["lot"]), text(&lot["amount"]["amount"]))).collect()
}

#[test]
fn day_old_pieces_are_fetched_lot_by_lot_and_oldest_first() -> Result<()> {
    // Source: alder-yard.md 8.4: 25 croissants of Thursday for Friday's almond croissants.
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let lines = picked(client, "2026-06-12", "croissant")?;
    ensure!(lines.len() == 1, "one line: {lines:?}");
    ensure!(taken(&lines[0]) == [("CR-0611".to_owned(), "25".to_owned())], "{}", lines[0]);
    ensure!(lines[0]["day_old"][0]["for"] == "almond-croissant", "{}", lines[0]);
    // Another lot of that bake which ends sooner goes first, and each place has its line.
    let receipt = json!({"item": "croissant", "lot": "CR-0611-b", "received": "2026-06-10",
        "quantity": {"amount": "10", "unit": "each"}, "baked": "2026-06-11",
        "use_by": "2026-06-12", "place": "chiller", "use": "ingredient"});
    client.post_receipt(&receipt)?.success()?;
    // A lot of another bake is never taken.
    let other = json!({"item": "croissant", "lot": "CR-0609", "received": "2026-06-09",
        "quantity": {"amount": "50", "unit": "each"}, "baked": "2026-06-09",
        "use": "ingredient"});
    client.post_receipt(&other)?.success()?;
    let lines = picked(client, "2026-06-12", "croissant")?;
    let all: Vec<_> = lines.iter().flat_map(taken).collect();
    let said = |name: &str, pieces: &str| (name.to_owned(), pieces.to_owned());
    ensure!(all == [said("CR-0611-b", "10"), said("CR-0611", "15")], "{lines:?}");
    ensure!(lines[0]["place"] == "chiller" && lines[1]["place"].is_null(), "{lines:?}");
    // The same lots stand where the croissants are finished.
    let weigh_out = client.weigh_out("2026-06-12")?;
    let blocks = weigh_out["toppings"].as_array().context("toppings")?;
    let block = blocks.iter().find(|block| block["product"] == "almond-croissant");
    let line = &block.context("almond croissants")?["day_old"][0];
    ensure!(taken(line) == all && line["printed"]["amount"] == "25", "{line}");
    let page = client.get_as("/v1/work-dates/2026-06-12/pick-list", "text/html")?.text();
    let words = "25 baked Thu 11 Jun, for Almond croissant of Fri 12 Jun";
    ensure!(page.contains(words), "{page}");
    Ok(())
}

#[test]
fn day_old_pieces_that_nobody_has_are_short() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let lots = client.get("/v1/lots?item=croissant")?.success()?;
    let lot = lots["rows"][0]["id"].as_str().context("a lot")?.to_owned();
    client.post(&format!("/v1/lots/{lot}/hold"), &json!({"reason": "damp"}))?.success()?;
    let lines = picked(client, "2026-06-12", "croissant")?;
    ensure!(lines.len() == 1 && taken(&lines[0]).is_empty(), "{lines:?}");
    ensure!(lines[0]["unmet"]["amount"] == "25", "{}", lines[0]);
    let stop = lines[0]["stop"].to_string();
    ensure!(stop.contains("CR-0611 is on hold"), "{stop}");
    Ok(())
}

#[test]
fn day_old_pieces_of_a_planned_bake_name_their_lot_once_it_is_made() -> Result<()> {
    let (server, _) = divided()?;
    let client = server.client();
    let lines = picked(client, "2026-06-13", "croissant")?;
    ensure!(lines.len() == 1 && lines[0]["amount"]["amount"] == "37", "{lines:?}");
    ensure!(lines[0]["unmet"].is_null() && taken(&lines[0]).is_empty(), "{}", lines[0]);
    ensure!(lines[0]["day_old"][0]["from_planned_bake"] == 37, "{}", lines[0]);
    let body = json!({"who": "Emil", "service_date": "2026-06-12",
        "pieces": {"product": "croissant", "started": 224, "good": 217}});
    let made = client.post("/v1/product-lots", &body)?.success()?;
    let lines = picked(client, "2026-06-13", "croissant")?;
    let named = &lines[0]["day_old"][0]["planned_bake_lots"];
    ensure!(*named == json!([made["lot"]]), "{named}, made {}", made["lot"]);
    // On the day itself it is a lot like any other.
    let server = server.at("2026-06-13T04:00:00+02:00")?;
    let lines = picked(server.client(), "2026-06-13", "croissant")?;
    let name = made["lot"].as_str().context("a name")?.to_owned();
    ensure!(taken(&lines[0]) == [(name, "37".to_owned())], "{}", lines[0]);
    // What was made has taken its pieces.
    let body = json!({"who": "Emil", "service_date": "2026-06-13",
        "pieces": {"product": "almond-croissant", "started": 37, "good": 37}});
    server.client().post("/v1/product-lots", &body)?.success()?;
    let lines = picked(server.client(), "2026-06-13", "croissant")?;
    ensure!(lines.is_empty(), "{lines:?}");
    Ok(())
}
