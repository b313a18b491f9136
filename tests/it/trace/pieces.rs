//! Where the mass of a lot went, and parts that are lots of their own.

use super::{lot, row, trace};
use anyhow::{Context, Result, ensure};
use serde_json::json;
use weighhouse_tests::{
    demo,
    exact::parse,
    stockroom::{check, id, open, receive},
};

#[test]
fn a_part_out_of_the_freezer_is_traced_with_its_lot_and_balanced_with_it() -> Result<()> {
    let server = open()?;
    let client = server.client();
    let butter = json!({"item": "butter", "lot": "BU-7", "quantity": {"amount": "10", "unit": "kg"},
        "place": "freezer", "use_by": "2026-08-01"});
    let butter = id(&receive(client, &butter)?)?;
    let part = json!({"lot": butter, "to": "chiller", "quantity": {"amount": "4", "unit": "kg"}});
    let moved = client.post("/v1/moves", &part)?.success()?;
    let part = moved["lot"]["id"].as_str().context("a lot")?.to_owned();
    ensure!(part != butter, "a part that thaws is a lot of its own: {moved}");
    let waste =
        json!({"lot": part, "quantity": {"amount": "1", "unit": "kg"}, "reason": "spilled"});
    client.post("/v1/waste", &waste)?.success()?;
    let counted = json!({"lot": butter, "counted_at": "2026-06-10T09:20:00+02:00",
        "quantity": {"amount": "5.5", "unit": "kg"}});
    let counted = client.post("/v1/counts", &counted)?;
    // The move is later than the count: counted was what lay there before it.
    counted.success()?;
    let found = trace(client, &butter, "forwards")?;
    let rows = found["lots"].as_array().context("lots")?;
    ensure!(rows.len() == 2 && rows[1]["id"] == part.as_str(), "{found}");
    ensure!(rows[1]["generation"] == 0 && rows[1]["share"]["exact"] == "1", "{found}");
    ensure!(found["steps"][0]["kind"] == "split", "{found}");
    let back = trace(client, &part, "back")?;
    ensure!(back["lots"][1]["id"] == butter.as_str(), "{back}");
    let file = client.get(&format!("/v1/lots/{butter}/recall"))?.success()?;
    let mass = &file["mass_balance"];
    ensure!(mass["came"]["amount"] == "10000" && mass["wasted"]["amount"] == "1000", "{mass}");
    // By hand: 10 came, the count found 4.5 less; 1 thrown away, 3 and 1.5 left: 55 %.
    ensure!(mass["variance"]["amount"] == "-4500" && mass["left"]["amount"] == "4500", "{mass}");
    ensure!(mass["accounted_percent"] == "55" && mass["gap"]["amount"] == "0", "{mass}");
    ensure!(file["in_house"].as_array().map(Vec::len) == Some(2), "{file}");
    check(client)?;
    Ok(())
}

#[test]
fn a_bin_is_traced_lot_by_lot_and_what_was_taken_back_is_not_in_it() -> Result<()> {
    let server = open()?;
    let client = server.client();
    for (name, kilograms) in [("A", "10"), ("B", "30")] {
        let quantity = json!({"amount": kilograms, "unit": "kg"});
        receive(client, &json!({"lot": name, "place": "flour-bin", "quantity": quantity}))?;
    }
    let draw = json!({"quantity": {"amount": "4", "unit": "kg"}, "who": "Imre", "load": "l-1"});
    let drawn = client.post("/v1/bins/flour-bin/draws", &draw)?.success()?;
    let a = lot(client, "rye", "A")?;
    let found = trace(client, &a, "forwards")?;
    let step = row(&found["steps"], "id", "l-1")?;
    // A quarter of what was drawn.
    ensure!(step["share"]["exact"] == "1/4" && step["gave"] == json!([]), "{found}");
    for entry in drawn["movements"].as_array().context("movements")? {
        let path = format!("/v1/movements/{}/correct", entry.as_str().context("an id")?);
        client.post(&path, &json!({"reason": "wrong bin"}))?.success()?;
    }
    ensure!(trace(client, &a, "forwards")?["steps"] == json!([]), "it never happened");
    Ok(())
}

#[test]
fn butter_is_traced_through_dough_and_buns_to_every_order_by_name() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let load = client.post("/v1/loads/2026-06-12:bun:1/release", &json!({"who": "Anna"}))?;
    let load = load.success()?;
    let path = format!("/v1/loads/{}", load["id"].as_str().context("an id")?);
    for step in ["weighings", "mixed", "divided"] {
        client.post(&format!("{path}/{step}"), &json!({"who": "Ben"}))?.success()?;
    }
    let server = server.at("2026-06-12T05:30:00+02:00")?;
    let client = server.client();
    for step in ["baked", "packed", "sent"] {
        client.post(&format!("{path}/{step}"), &json!({"who": "Emil"}))?.success()?;
    }
    let butter = lot(client, "butter", "BU-1")?;
    let file = client.get(&format!("/v1/lots/{butter}/recall"))?.success()?;
    let products = &file["went_into"]["products"];
    let bun = row(products, "item", "sugar-bun")?;
    // By hand: 928 of 10 207.5 g of the load; 37 of its pieces are 80 g of 9 900 g that were
    // divided out of 10 107.5 g, and each carries 6 g of pearl sugar (alder-yard 8.4, 8.9 A).
    let dough = parse("10107.5")? * parse("2960/9900")?;
    let share = parse("1856/20415")? * dough.clone() / (dough + parse("222")?);
    let found = parse(bun["share"]["exact"].as_str().context("exact")?)?;
    ensure!(found == share && bun["generation"] == 2, "expected {share}: {bun}");
    let sent = file["recipients"].as_array().context("recipients")?;
    ensure!(sent.iter().all(|one| one["link"] == "booked"), "nobody is guessed: {sent:?}");
    let harbour = sent
        .iter()
        .find(|one| one["customer"] == "harbour-cafe" && one["product"] == "sugar-bun")
        .context("Harbour Cafe")?;
    ensure!(harbour["drop"] == "07:00" && harbour["name"] == "Harbour Cafe", "{harbour}");
    ensure!(harbour["quantity"]["unit"] == "each" && harbour["lot"].is_string(), "{harbour}");
    // Pearl sugar is on the sugar buns and nowhere else.
    let sugar = client.get("/v1/lots?item=pearl-sugar")?.success()?;
    let sugar = sugar["rows"][0]["id"].as_str().context("pearl sugar")?.to_owned();
    let found = trace(client, &sugar, "forwards")?;
    let met: Vec<_> = found["lots"].as_array().context("lots")?.iter().skip(1).collect();
    ensure!(met.len() == 1 && met[0]["item"] == "sugar-bun", "{found}");
    let back = bun["id"].as_str().context("an id")?;
    let back = client.get(&format!("/v1/product-lots/{back}/trace"))?.success()?;
    ensure!(back["direction"] == "back", "{back}");
    row(&back["lots"], "lot", "BU-1")?;
    Ok(())
}
