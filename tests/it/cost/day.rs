//! The cost sheet of a service date.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::demo;

fn cents(line: &Value) -> i64 {
    let money = if line["total"].is_object() { &line["total"] } else { &line["cost"] };
    money["minor_units"].as_i64().unwrap_or(i64::MIN)
}

fn lines<'a>(sheet: &'a Value, list: &str) -> Result<&'a Vec<Value>> {
    sheet[list].as_array().with_context(|| format!("the sheet has {list}"))
}

#[test]
fn printed_lines_sum_to_the_printed_total_from_both_sides() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    for date in demo::SERVICE_DATES {
        let sheet = client.get(&format!("/v1/service-dates/{date}/costs"))?.success()?;
        let total = sheet["total"]["minor_units"].as_i64().context("a total")?;
        let products: i64 = lines(&sheet, "products")?.iter().map(cents).sum();
        let shares = lines(&sheet, "customers")?.iter().chain(lines(&sheet, "own_lines")?);
        ensure!(total > 0 && products == total, "{products} of products is not {total}");
        ensure!(shares.map(cents).sum::<i64>() == total, "for whom: {sheet}");
        ensure!(lines(&sheet, "products")?.len() == 14 && sheet["known"] == true, "{sheet}");
        // Every customer's pieces are those of the orders.
        let of = |name: &str| {
            let customers = sheet["customers"].as_array().into_iter().flatten();
            customers.into_iter().find(|line| line["of"] == name).map(|line| &line["pieces"])
        };
        ensure!(
            of("hill-school") == Some(&json!(190)) || date != "2026-06-12",
            "120 rolls, 60 buns and 10 tins: {sheet}"
        );
    }
    let path = "/v1/service-dates/2026-06-12/costs";
    let sheet = client.get(path)?.success()?;
    let croissant = lines(&sheet, "products")?.iter().find(|line| line["product"] == "croissant");
    let croissant = croissant.context("the croissant")?;
    // Source: Alder Yard 8.9 G.
    ensure!(croissant["printed"] == "0.2566 EUR", "{croissant}");
    ensure!(croissant["ingredients"]["printed"] == "0.2456", "0.23595 + 0.00970: {croissant}");
    ensure!(croissant["packaging"]["printed"] == "0.0029", "{croissant}");
    let own: Vec<_> = lines(&sheet, "own_lines")?.iter().map(|line| &line["of"]).collect();
    ensure!(own.contains(&&json!("for-other-products")), "37 croissants for Saturday: {own:?}");
    let doughs = lines(&sheet, "doughs")?;
    let laminated =
        doughs.iter().find(|line| line["formula"] == "laminated").context("laminated")?;
    ensure!(laminated["each"]["printed"] == "2.9493" && laminated["per"] == "kg", "{laminated}");
    ensure!(laminated["total"]["printed"] == "100.1882", "{laminated}");
    Ok(())
}

#[test]
fn a_missing_price_is_said_on_every_line_that_needs_it_and_is_never_nothing() -> Result<()> {
    // Source: trade rules 2.11: no price is not known, never 0.
    let mut bakery = demo::document("bakery")?;
    let packs = bakery["packs"].as_array_mut().context("packs")?;
    packs.retain(|pack| pack["item"] != "honey");
    let server = demo::serve(&bakery)?;
    let client = server.client();
    let sheet = client.get("/v1/service-dates/2026-06-12/costs")?.success()?;
    ensure!(sheet["known"] == false && sheet["missing"] == json!(["honey"]), "{sheet}");
    let printed = sheet["printed"].as_str().unwrap_or_default();
    ensure!(printed.starts_with("at least ") && printed.ends_with("1 price missing"), "{printed}");
    for line in lines(&sheet, "products")? {
        let seed = line["product"] == "seed-tin";
        ensure!((line["missing"] == json!(["honey"])) == seed, "{line}");
    }
    let school = lines(&sheet, "customers")?.iter().find(|line| line["of"] == "hill-school");
    ensure!(school.context("the school")?["missing"] == json!(["honey"]), "it orders 10 tins");
    let paper = client.get_as("/v1/service-dates/2026-06-12/costs", "text/html")?.text();
    ensure!(paper.contains("price not known: honey") && paper.contains("≥ "), "{paper}");
    let csv = client.get_as("/v1/service-dates/2026-06-12/costs.csv", "text/csv")?.text();
    ensure!(csv.lines().count() == 15 && csv.contains(",honey\r\n"), "{csv}");
    Ok(())
}

#[test]
fn the_price_of_another_day_costs_another_day() -> Result<()> {
    let mut bakery = demo::document("bakery")?;
    let packs = bakery["packs"].as_array_mut().context("packs")?;
    let sheets = packs.iter().find(|pack| pack["item"] == "butter-sheet").context("sheets")?;
    let mut dearer = sheets.clone();
    dearer["code"] = json!("butter-sheet-june");
    dearer["valid_from"] = json!("2026-06-13");
    dearer["price"]["minor_units"] = json!(17_200);
    packs.push(dearer);
    let server = demo::serve(&bakery)?;
    let printed = |date: &str| -> Result<Value> {
        let path = format!("/v1/products/croissant/cost?service_date={date}");
        Ok(server.client().get(&path)?.success()?["printed"].clone())
    };
    ensure!(printed("2026-06-12")? == "0.2566 EUR", "Friday is not touched");
    let plain = demo::serve(&demo::document("bakery")?)?;
    let path = "/v1/products/croissant/cost?service_date=2026-06-13";
    let before = plain.client().get(path)?.success()?["printed"].clone();
    ensure!(printed("2026-06-13")? != before, "Saturday's croissant is dearer than {before}");
    Ok(())
}
