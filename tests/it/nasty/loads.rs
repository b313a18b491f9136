//! Cases 14, 15 and 19: loads under the minimum, over the bowl, and one dough in many products.

use super::{NOW, SERVICE_DATE, batch, equal, house, order, serve};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};

#[test]
fn case_14_a_load_under_the_minimum_is_not_raised_and_the_options_are_listed() -> Result<()> {
    let bakery = house(|bakery| {
        bakery["products"][0]["make_up"][0]["quantity"] = json!({"amount": "700", "unit": "g"});
    });
    let server = serve(&bakery, NOW)?;
    let client = server.client();
    client.post_order(&order(1, SERVICE_DATE, "loaf", 3))?.success()?;
    let requirements = client.requirements(SERVICE_DATE)?;
    let found = batch(&requirements, "dough")?;
    equal(&found["under_minimum"], &json!(true))?;
    equal(&found["mix_mass"], &json!({"amount": "2100", "unit": "g"}))?;
    let options = found["options"].as_array().context("options")?;
    ensure!(options.len() >= 4, "a person needs something to choose from: {found}");
    let notes = requirements["notes"].to_string();
    ensure!(notes.contains("dough") && notes.contains("minimum"), "nobody is told: {notes}");
    Ok(())
}

#[test]
fn case_15_fifty_grams_over_the_bowl_are_two_even_loads() -> Result<()> {
    let bakery = house(|bakery| {
        bakery["products"][0]["make_up"][0]["quantity"] = json!({"amount": "1.201", "unit": "kg"});
    });
    let server = serve(&bakery, NOW)?;
    let client = server.client();
    client.post_order(&order(1, SERVICE_DATE, "loaf", 50))?.success()?;
    let found = batch(&client.requirements(SERVICE_DATE)?, "dough")?;
    equal(&found["loads"], &json!(2))?;
    equal(&found["load_groups"][0]["mix_mass"], &json!({"amount": "30025", "unit": "g"}))?;
    // Source: trade.md 7 case 15: plus the hint.
    let notes = client.requirements(SERVICE_DATE)?["notes"].to_string();
    ensure!(notes.contains("cut 50 g of dough to save a load"), "no hint: {notes}");
    // Two loaves more than ordered are 2.4 kg: the same 50 g can come off them.
    let overs = house(|bakery| {
        bakery["products"][0]["make_up"][0]["quantity"] = json!({"amount": "1.201", "unit": "kg"});
        bakery["products"][0]["overs"] = json!({"policy": "fixed", "pieces": 2});
    });
    let server = serve(&overs, NOW)?;
    server.client().post_order(&order(1, SERVICE_DATE, "loaf", 48))?.success()?;
    let notes = server.client().requirements(SERVICE_DATE)?["notes"].to_string();
    ensure!(notes.contains("cut 50 g of overs to save a load"), "no hint: {notes}");
    let path = format!(
        "/v1/work-dates/{}/day-board",
        &found["made_at"].as_str().unwrap_or(SERVICE_DATE)[..10]
    );
    let board = server.client().get(&path)?.success()?;
    ensure!(board["exceptions"].to_string().contains("fewer overs, no order"), "{board}");
    Ok(())
}

#[test]
fn case_19_one_dough_in_nine_products_is_mixed_once_and_divided_per_load() -> Result<()> {
    let names: Vec<String> = (1..=9).map(|number| format!("loaf-{number}")).collect();
    let bakery = house(|bakery| {
        let product = |name: &String| {
            let mut product = json!({
                "code": name, "dough": "dough", "reject": "0",
                "make_up": [{"item": "dough", "quantity": {"amount": "1", "unit": "kg"}}],
            });
            // Each has an allergen of its own on top.
            product["make_up"].as_array_mut().into_iter().for_each(|lines| {
                lines.push(json!({"item": format!("top-{name}"),
                                  "quantity": {"amount": "1", "unit": "g"}}));
            });
            product
        };
        bakery["products"] = names.iter().map(product).collect();
        let tops = names.iter().map(|name| {
            json!({"code": format!("top-{name}"), "kind": "bought", "base_unit": "g",
                   "allergens_known": true, "contains": [format!("kind-{name}")]})
        });
        bakery["items"].as_array_mut().into_iter().for_each(|items| items.extend(tops.clone()));
    });
    let server = serve(&bakery, NOW)?;
    let client = server.client();
    let lines: Vec<Value> = names
        .iter()
        .map(|name| json!({"line_ref": name, "product": name, "quantity": 7}))
        .collect();
    let mut asked = order(1, SERVICE_DATE, "loaf-1", 7);
    asked["lines"] = lines.into();
    client.post_order(&asked)?.success()?;
    let requirements = client.requirements(SERVICE_DATE)?;
    let batches = requirements["batches"].as_array().context("batches")?;
    ensure!(batches.len() == 1, "one dough total: {requirements}");
    let found = batch(&requirements, "dough")?;
    // 63 kg at most 60 in a load: two even loads of 31.5 kg.
    equal(&found["loads"], &json!(2))?;
    equal(&found["load_groups"][0]["mix_mass"], &json!({"amount": "31500", "unit": "g"}))?;
    let loads = found["pieces_per_load"].as_array().context("pieces per load")?;
    for name in &names {
        let pieces: i64 = loads
            .iter()
            .flat_map(|load| load["pieces"].as_array().into_iter().flatten())
            .filter(|row| row["product"] == **name)
            .filter_map(|row| row["pieces"].as_i64())
            .sum();
        ensure!(pieces == 7, "{name} has {pieces} pieces in all loads: {found}");
        let allergens = client.allergens(name, &[])?;
        equal(&allergens["contains"], &json!([format!("kind-{name}")]))?;
    }
    Ok(())
}
