//! Statements about products through HTTP: dated, versioned, never "safe".

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo};

/// Words that no statement may use of a product.
const NEVER: [&str; 2] = ["safe ", "is free from"];

fn get(client: &Client, path: &str) -> Result<Value> {
    client.get(path)?.success().with_context(|| path.to_owned())
}

#[test]
fn every_statement_carries_product_version_date_and_who_decides() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let products = demo::list(&demo::document("bakery")?, "products")?;
    for product in &products {
        let code = product["code"].as_str().context("a code")?;
        for what in ["allergens", "label", "nutrition"] {
            let view = get(client, &format!("/v1/products/{code}/{what}"))?;
            ensure!(view["product"] == code && view["as_of"] == "2026-06-10", "{code} {what}");
            ensure!(view["version"].as_i64().is_some_and(|version| version > 0), "{code} {what}");
            let defer = view["defer"].as_str().context("who decides")?;
            ensure!(defer.contains("Local law and a competent person decide"), "{defer}");
        }
        for what in ["allergens", "label"] {
            let page = client.get_as(&format!("/v1/products/{code}/{what}"), "text/html")?.text();
            ensure!(page.contains("Local law and a competent person decide"), "{code} {what}");
            ensure!(NEVER.iter().all(|word| !page.contains(word)), "{code} {what}");
        }
    }
    Ok(())
}

#[test]
fn alder_yards_sets_stand_in_the_matrix() -> Result<()> {
    // Source: alder-yard.md 8.9 H.
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let view = get(client, "/v1/allergen-matrix")?;
    ensure!(view["regulation"] == "eu", "the site follows the EU list");
    let columns = view["columns"].as_array().context("columns")?;
    for (product, contains) in [
        ("baguette-350", &["wheat", "barley"][..]),
        ("country-large", &["wheat", "rye"]),
        ("seed-tin", &["wheat", "sesame"]),
        ("sugar-bun", &["wheat", "egg", "milk"]),
        ("croissant", &["wheat", "barley", "egg", "milk"]),
        ("choc-roll", &["wheat", "barley", "egg", "soya", "milk"]),
        ("almond-croissant", &["wheat", "barley", "egg", "milk", "almonds"]),
    ] {
        let rows = view["rows"].as_array().context("rows")?;
        let row = rows.iter().find(|row| row["product"] == product).context("its row")?;
        let cells = row["cells"].as_array().context("cells")?;
        let named: Vec<&str> = columns
            .iter()
            .zip(cells)
            .filter(|(_, cell)| **cell == "contains")
            .filter_map(|(column, _)| column["kind"].as_str())
            .collect();
        ensure!(named == contains, "{product}: {named:?}");
    }
    let us = get(client, "/v1/allergen-matrix?regulation=us")?;
    let croissant = &us["rows"].as_array().context("rows")?[10];
    ensure!(croissant["unlisted"] == json!(["barley"]), "{croissant}");
    let csv = client.get("/v1/allergen-matrix.csv")?.text();
    ensure!(csv.starts_with("product,name,wheat,rye,barley"), "{csv}");
    ensure!(csv.lines().count() == 15 && !csv.contains("free from"), "{csv}");
    Ok(())
}

#[test]
fn what_a_substitute_changes_is_said_before_it_is_used() -> Result<()> {
    // Source: alder-yard.md 8.9 H: fruit-bun with golden-raisins: + sulphites.
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let path = "/v1/products/fruit-bun/allergens?swap=raisins:golden-raisins";
    let view = get(client, path)?;
    ensure!(view["changes"]["added"]["contains"] == json!(["sulphites"]), "{}", view["changes"]);
    ensure!(view["changes"]["gone"]["contains"] == json!([]), "{}", view["changes"]);
    let page = client.get_as(path, "text/html")?.text();
    ensure!(page.contains("BRINGS IN") && page.contains("sulphites"), "{page}");
    ensure!(get(client, "/v1/products/fruit-bun/allergens")?["changes"].is_null());
    Ok(())
}

#[test]
fn an_unread_pack_makes_the_matrix_not_known() -> Result<()> {
    let mut bakery = demo::document("bakery")?;
    let items = bakery["items"].as_array_mut().context("items")?;
    let honey = items.iter_mut().find(|item| item["code"] == "honey").context("honey")?;
    honey["allergens_known"] = json!(false);
    let server = demo::serve(&bakery)?;
    let client = server.client();
    let view = get(client, "/v1/allergen-matrix")?;
    let rows = view["rows"].as_array().context("rows")?;
    let seed = rows.iter().find(|row| row["product"] == "seed-tin").context("its row")?;
    ensure!(seed["unknown"] == json!(["honey"]), "{seed}");
    let cells = seed["cells"].as_array().context("cells")?;
    ensure!(cells.iter().all(|cell| cell != "not_in_records"), "{seed}");
    let page = client.get_as("/v1/products/seed-tin/label", "text/html")?.text();
    ensure!(page.contains("do not sell as free from"), "{page}");
    ensure!(
        get(client, "/v1/products/seed-tin/label")?["ingredients"]
            .as_str()
            .is_some_and(|text| text.contains("honey [allergens not known]"))
    );
    Ok(())
}

#[test]
fn a_bakery_may_bring_a_regulation_of_its_own() -> Result<()> {
    let mut bakery = demo::document("bakery")?;
    let server = demo::serve(&bakery)?;
    let known = get(server.client(), "/v1/regulations")?;
    let mut own = known["rows"][0].clone();
    own["code"] = json!("town");
    own["groups"] = json!([{"name": "Wheat", "kinds": [{"name": "wheat"}]}]);
    bakery["regulations"] = json!([own]);
    bakery["site"]["regulation"] = json!("town");
    let server = demo::serve(&bakery)?;
    let view = get(server.client(), "/v1/allergen-matrix")?;
    ensure!(view["regulation"] == "town", "{}", view["regulation"]);
    ensure!(view["columns"].as_array().map(Vec::len) == Some(1), "{}", view["columns"]);
    bakery["site"]["regulation"] = json!("village");
    let refused = server.client().put_bakery(&bakery)?;
    ensure!(refused.text().contains("there is no regulation `village`"), "{}", refused.text());
    Ok(())
}
