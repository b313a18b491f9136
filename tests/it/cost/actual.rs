//! What a service date really cost: good pieces, doughs, customers.

use crate::loads::{release, step};
use anyhow::{Context, Result, ensure};
use num_rational::BigRational;
use serde_json::{Value, json};
use weighhouse_tests::{
    demo,
    exact::{parse, whole},
    server::Server,
};

const PATH: &str = "/v1/service-dates/2026-06-12/actual-costs";

/// Friday's first bun load baked, two sugar buns rejected, and sent.
fn sent() -> Result<Server> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let load = release(server.client(), "2026-06-12:bun:1")?;
    for (word, who) in [("weighings", "Ben"), ("mixed", "Cem"), ("divided", "Dora")] {
        step(server.client(), &load, word, &json!({"who": who}))?;
    }
    let server = server.at("2026-06-12T05:30:00+02:00")?;
    let rejected = json!([{"pieces": 2, "reason": "broken"}]);
    let baked = json!({"who": "Emil", "products":
        [{"product": "sugar-bun", "good": 35, "rejected": rejected}]});
    step(server.client(), &load, "baked", &baked)?;
    let server = server.at("2026-06-12T06:10:00+02:00")?;
    step(server.client(), &load, "packed", &json!({"who": "Fay"}))?;
    step(server.client(), &load, "sent", &json!({"who": "Gus"}))?;
    Ok(server)
}

fn list<'a>(view: &'a Value, name: &str) -> Result<&'a Vec<Value>> {
    view[name].as_array().with_context(|| format!("{name} of {view}"))
}

fn of<'a>(view: &'a Value, name: &str, key: &str, code: &str) -> Result<&'a Value> {
    list(view, name)?.iter().find(|line| line[key] == code).with_context(|| code.to_owned())
}

fn minor(line: &Value) -> i64 {
    let money = if line["total"].is_object() { &line["total"] } else { &line["cost"] };
    money["minor_units"].as_i64().unwrap_or(i64::MIN)
}

fn exact(cost: &Value) -> Result<BigRational> {
    parse(cost["minor_units_exact"].as_str().context("an exact figure")?)
}

#[test]
fn customers_and_all_else_sum_to_the_pieces_and_good_ones_carry_the_rejected() -> Result<()> {
    // Source: trade rules 2.11: start over good brings the rejects into a good piece.
    let server = sent()?;
    let client = server.client();
    let view = client.get(PATH)?.success()?;
    let total = view["total"]["minor_units"].as_i64().context("a total")?;
    let products: i64 = list(&view, "products")?.iter().map(minor).sum();
    let lines = list(&view, "customers")?.iter().chain(list(&view, "own_lines")?);
    ensure!(total > 0 && products == total, "{products} of products: {view}");
    ensure!(lines.map(minor).sum::<i64>() == total, "who got them: {view}");
    // 35 of 37 sugar buns are good; 42 fruit, 25 custard buns and 30 knots (8.9 A).
    let pieces: i64 =
        list(&view, "customers")?.iter().filter_map(|line| line["pieces"].as_i64()).sum();
    ensure!(pieces == 35 + 42 + 25 + 30, "all were sent: {view}");
    let bun = of(&view, "products", "product", "sugar-bun")?;
    ensure!(bun["pieces"]["amount"] == "35", "{bun}");
    let (all, each) = (exact(&bun["cost"])?, exact(&bun["per_good_piece"])?);
    let off = &all - each * whole(35);
    ensure!(off < parse("0.0001")? && off > parse("-0.0001")?, "{off}: {bun}");
    // By hand (8.9 A): each product's pieces of 9 900 g of dough, and what lies on them.
    let dough = exact(&of(&view, "doughs", "formula", "bun")?["cost"])?;
    for (product, pieces, grams) in [
        ("sugar-bun", 37, 80),
        ("fruit-bun", 42, 70),
        ("custard-bun", 25, 70),
        ("lemon-knot", 30, 75),
    ] {
        let cost = exact(&of(&view, "products", "product", product)?["cost"])?;
        let own = &dough * whole(pieces * grams) / whole(9_900);
        // Nobody carries the dough of another product.
        let bounds = cost > own && cost < &own * whole(2);
        ensure!(bounds, "{product}: {cost}, of it {own} of dough");
    }
    Ok(())
}

#[test]
fn yesterdays_actual_cost_never_moves_when_todays_price_does() -> Result<()> {
    // Source: trade rules 2.11.
    let server = sent()?;
    let stands = |client: &weighhouse_tests::client::Client| -> Result<Value> {
        let mut view = client.get(PATH)?.success()?;
        view["made_at"].take();
        Ok(view)
    };
    let before = stands(server.client())?;
    // The next morning everything is dearer, and Friday's dough is asked about again.
    let server = server.at("2026-06-13T06:00:00+02:00")?;
    let client = server.client();
    for pack in demo::list(&client.get("/v1/packs?limit=1000")?.success()?, "rows")? {
        let mut dearer = pack.clone();
        let code = format!("{}-new", pack["code"].as_str().context("a code")?);
        dearer["code"] = json!(code);
        dearer["valid_from"] = json!("2026-06-01");
        let price = pack["price"]["minor_units"].as_i64().context("a price")?;
        dearer["price"]["minor_units"] = json!(price * 3);
        client.put(&format!("/v1/packs/{code}"), &dearer, None)?.success()?;
    }
    ensure!(stands(client)? == before, "{}", stands(client)?);
    Ok(())
}

#[test]
fn what_was_eaten_by_nobody_is_a_line_of_its_own() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let server = server.at("2026-06-12T06:00:00+02:00")?;
    // A croissant's dough stands as its formula; nobody ordered these few.
    let made = json!({"who": "Emil", "service_date": "2026-06-12",
        "pieces": {"product": "croissant", "started": 10, "good": 10}});
    server.client().post("/v1/product-lots", &made)?.success()?;
    let server = server.at("2026-06-12T18:00:00+02:00")?;
    let client = server.client();
    let lots = client.get("/v1/product-lots?service_date=2026-06-12")?.success()?;
    let waste = json!({"lot": lots["rows"][0]["id"], "quantity": {"amount": "4", "unit": "each"},
        "reason": "overs-unsold", "who": "Ben"});
    client.post("/v1/waste", &waste)?.success()?;
    let view = client.get(PATH)?.success()?;
    ensure!(list(&view, "customers")?.is_empty(), "{view}");
    let wasted = of(&view, "own_lines", "of", "wasted")?;
    let left = of(&view, "own_lines", "of", "left")?;
    ensure!(wasted["pieces"] == 4 && left["pieces"] == 6, "{view}");
    ensure!(minor(wasted) > 0 && minor(wasted) + minor(left) == minor(&view), "{view}");
    // A later waste is no reject: all ten came out good.
    let product = of(&view, "products", "product", "croissant")?;
    ensure!(product["pieces"]["amount"] == "10", "{product}");
    let paper = client.get_as(PATH, "text/html")?.text();
    ensure!(paper.contains("thrown away") && paper.contains("still here"), "{paper}");
    let csv = client.get_as(&format!("{PATH}.csv"), "text/csv")?.text();
    ensure!(csv.contains("actual,2026-06-12,own,left,6,each,,"), "{csv}");
    Ok(())
}
