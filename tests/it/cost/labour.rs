//! Labour: off by default, a line of its own, and "at least" where something is missing.

use anyhow::{Context, Result, ensure};
use num_rational::BigRational;
use serde_json::{Value, json};
use weighhouse_tests::{
    demo,
    exact::{parse, whole},
    server::Server,
};

const PATH: &str = "/v1/service-dates/2026-06-12/costs";

/// The demo with one order, and what an hour costs there.
fn house(lines: &[(&str, i64)], labour: &Value) -> Result<Server> {
    let mut bakery = demo::document("bakery")?;
    if !labour.is_null() {
        bakery["site"]["labour"] = labour.clone();
    }
    let server = Server::start(demo::NOW)?;
    server.client().put_bakery(&bakery)?.success()?;
    let lines = lines.iter().enumerate().map(|(at, (product, quantity))| {
        json!({"line_ref": at.to_string(), "product": product, "quantity": quantity})
    });
    let order = json!({"order_ref": "one", "version": 1, "customer": "pier-hotel",
        "service_date": "2026-06-12", "drop": "07:00", "lines": lines.collect::<Vec<_>>()});
    server.client().post_order(&order)?.success()?;
    Ok(server)
}

fn euros(minor: i64) -> Value {
    json!({"minor_units": minor, "currency": "EUR"})
}

#[test]
fn attended_minutes_of_the_route_cost_the_wage_and_stand_in_no_other_sum() -> Result<()> {
    // Source: trade rules 2.11: labour optional, per step minutes, off by default.
    let plain = house(&[("sugar-bun", 72)], &Value::Null)?.client().get(PATH)?.success()?;
    ensure!(plain["labour"].is_null(), "off by default: {}", plain["labour"]);
    let server = house(&[("sugar-bun", 72)], &json!({"per_hour": euros(2_400)}))?;
    let client = server.client();
    let sheet = client.get(PATH)?.success()?;
    // By hand, Alder Yard 8.7: weigh 40, mix 18, temper 30, divide 75, wash 12, bake 16,
    // pack 20; bulk, cold, prove and cool need nobody.
    let labour = &sheet["labour"];
    ensure!(labour["minutes"] == "211.0" && labour["known"] == true, "{labour}");
    // 211 minutes at 24.00 an hour.
    ensure!(labour["total"]["minor_units"] == 8_440, "{labour}");
    ensure!(sheet["total"] == plain["total"], "in no other sum");
    ensure!(sheet["products"] == plain["products"], "and smeared over nothing");
    let one = client.get("/v1/products/sugar-bun/cost?service_date=2026-06-12")?.success()?;
    let each = parse(one["labour"]["per_good_piece"]["minor_units_exact"].as_str().unwrap_or(""))?;
    let good = parse(&one["good_planned"].to_string())?;
    let off = each * good - parse("8440")?;
    ensure!(off < parse("0.001")? && off > parse("-0.001")?, "{one}");
    let paper = client.get_as(PATH, "text/html")?.text();
    ensure!(paper.contains("Labour") && paper.contains("84.40"), "{paper}");
    let csv = client.get_as(&format!("{PATH}.csv"), "text/csv")?.text();
    ensure!(csv.contains(",211.0,8440,"), "{csv}");
    Ok(())
}

#[test]
fn a_team_without_a_wage_makes_it_an_at_least() -> Result<()> {
    let wages = json!({"teams": [{"team": "oven", "per_hour": euros(3_000)}]});
    let server = house(&[("sugar-bun", 72)], &wages)?;
    let labour = server.client().get(PATH)?.success()?["labour"].clone();
    // Wash 12, bake 16 and pack 20 minutes of the oven team.
    ensure!(labour["total"]["minor_units"] == 2_400 && labour["known"] == false, "{labour}");
    ensure!(labour["minutes"] == "211.0", "the minutes are known: {labour}");
    let printed = labour["printed"].as_str().context("words")?;
    ensure!(printed.starts_with("at least "), "{printed}");
    let missing = labour["products"][0]["missing"].to_string();
    ensure!(missing.contains("bench") && !missing.contains("oven"), "{missing}");
    let nobody = json!({"teams": [{"team": "night", "per_hour": euros(1)}]});
    let refused = house(&[("sugar-bun", 72)], &nobody);
    ensure!(refused.is_err_and(|error| format!("{error:#}").contains("no team `night`")));
    Ok(())
}

#[test]
fn what_two_products_have_in_common_is_counted_once() -> Result<()> {
    let wage = json!({"per_hour": euros(2_400)});
    let minutes = |lines: &[(&str, i64)]| -> Result<BigRational> {
        let sheet = house(lines, &wage)?.client().get(PATH)?.success()?;
        let all = sheet["labour"]["products"].as_array().context("products")?;
        all.iter().map(|line| parse(line["minutes"].as_str().unwrap_or(""))).sum()
    };
    let both = minutes(&[("sugar-bun", 48), ("lemon-knot", 48)])?;
    // Weighing 40, mixing 18 and tempering 30 are done once for both, of 211 for each.
    ensure!(both >= whole(211) && both <= whole(2 * 211 - 88), "{both}");
    Ok(())
}
