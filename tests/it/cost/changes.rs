//! What moved of costs between two dates, and why.

use anyhow::{Context, Result, ensure};
use num_rational::BigRational;
use serde_json::{Value, json};
use weighhouse_tests::{demo, exact::parse};

fn one<'a>(changes: &'a Value, product: &str) -> Result<&'a Value> {
    let products = changes["products"].as_array().context("products")?;
    products.iter().find(|line| line["product"] == product).with_context(|| product.to_owned())
}

fn cause(line: &Value, of: &str) -> Result<String> {
    let causes = line["causes"].as_array().context("causes")?;
    let found = causes.iter().find(|cause| cause["of"] == of).context("a cause")?;
    Ok(found["added"].as_str().context("added")?.to_owned())
}

fn sum(list: &Value, field: &str) -> Result<BigRational> {
    let lines = list.as_array().context("a list")?;
    lines.iter().map(|line| parse(line[field].as_str().unwrap_or_default())).sum()
}

/// The demo with dearer butter sheets, a richer bun and more scrap from Saturday on.
fn bakery() -> Result<Value> {
    let mut bakery = demo::document("bakery")?;
    let packs = bakery["packs"].as_array_mut().context("packs")?;
    let sheets = packs.iter().find(|pack| pack["item"] == "butter-sheet").context("sheets")?;
    let mut dearer = sheets.clone();
    dearer["code"] = json!("butter-sheet-june");
    dearer["valid_from"] = json!("2026-06-13");
    dearer["price"]["minor_units"] = json!(17_200);
    packs.push(dearer);
    let formulas = bakery["formulas"].as_array_mut().context("formulas")?;
    let bun = formulas.iter().find(|formula| formula["code"] == "bun").context("bun")?;
    let mut richer = bun.clone();
    richer["valid_from"] = json!("2026-06-13");
    for line in richer["lines"].as_array_mut().context("lines")? {
        if line["item"] == "butter" {
            line["parts"] = json!("22");
        }
    }
    richer["losses"][0]["percent"] = json!("3");
    formulas.push(richer);
    Ok(bakery)
}

#[test]
fn causes_sum_to_the_difference_and_each_is_where_it_belongs() -> Result<()> {
    let server = demo::serve(&bakery()?)?;
    let client = server.client();
    let path = "/v1/cost-changes?from=2026-06-12&to=2026-06-13";
    let changes = client.get(path)?.success()?;
    for line in changes["products"].as_array().context("products")? {
        let (was, now) = (line["was"].as_str().unwrap_or(""), line["now"].as_str().unwrap_or(""));
        let printed = sum(&line["causes"], "added")?;
        ensure!(parse(was)? + printed == parse(now)?, "as printed: {line}");
        let price = parse(&cause(line, "price")?)?;
        ensure!(sum(&line["prices"], "added")? == price, "item by item: {line}");
    }
    let croissant = one(&changes, "croissant")?;
    // Source: Alder Yard 8.9 G, and its eight sheets: 68.80 / 33 970 g x 80 g x 224/217 more.
    ensure!(croissant["was"] == "0.2566", "{croissant}");
    let price = &croissant["causes"][0]["minor_units_exact"];
    ensure!(price == "16.725194", "6880 x 80 / 33970 x 224/217 cents: {croissant}");
    ensure!(croissant["prices"][0]["of"] == "butter-sheet", "{croissant}");
    ensure!(cause(croissant, "yield")? == "0.0000" && cause(croissant, "formula")? == "0.0000");
    ensure!(cause(croissant, "mix")? != "0.0000", "other loads and blocks on Saturday");
    let bun = one(&changes, "sugar-bun")?;
    ensure!(cause(bun, "price")? == "0.0000", "{bun}");
    ensure!(cause(bun, "yield")?.starts_with("0.00") && cause(bun, "yield")? != "0.0000", "{bun}");
    ensure!(cause(bun, "formula")? != "0.0000", "{bun}");
    ensure!(bun["formulas"] == json!(["bun"]) && bun["yields"] == json!(["bun"]), "{bun}");
    // The ends are the standard costs of both dates.
    for (date, field) in [("2026-06-12", "was"), ("2026-06-13", "now")] {
        let path = format!("/v1/products/sugar-bun/cost?service_date={date}");
        let cost = client.get(&path)?.success()?;
        ensure!(cost["per_good_piece"]["printed"] == bun[field], "{date}: {cost}");
    }
    let only = client.get(&format!("{path}&product=croissant"))?.success()?;
    ensure!(only["products"].as_array().map(Vec::len) == Some(1), "{only}");
    let paper = client.get_as(path, "text/html")?.text();
    ensure!(paper.contains("<svg") && paper.contains("+0.1672"), "{paper}");
    let csv = client.get_as(&path.replace("changes?", "changes.csv?"), "text/csv")?.text();
    ensure!(csv.contains(",croissant,0.2566,0.1672,0.0000,0.0000,"), "{csv}");
    Ok(())
}

#[test]
fn what_was_not_made_then_has_no_mix_and_dates_must_be_in_order() -> Result<()> {
    let server = demo::serve(&bakery()?)?;
    let client = server.client();
    let changes = client.get("/v1/cost-changes?from=2026-05-01&to=2026-06-13")?.success()?;
    let croissant = one(&changes, "croissant")?;
    ensure!(cause(croissant, "mix")? == "0.0000", "{croissant}");
    ensure!(croissant["notes"].to_string().contains("not made for 2026-05-01"), "{croissant}");
    let wrong = client.get("/v1/cost-changes?from=2026-06-13&to=2026-06-12")?;
    ensure!(wrong.is_problem("invalid-query")?, "{}", wrong.text());
    let nothing = client.get("/v1/cost-changes?from=2026-06-12&to=2026-06-14")?;
    ensure!(nothing.is_problem("not-found")?, "{}", nothing.text());
    Ok(())
}
