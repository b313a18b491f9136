//! The contract walked through once: every list with its records, every chain of why, every
//! file, and the ways to say no that nothing else brings about.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo, server::Server};

fn loaded() -> Result<Server> {
    demo::serve(&demo::document("bakery")?)
}

/// Lists of reference data, by their part of the path.
const LISTS: [&str; 15] = [
    "customers",
    "formulas",
    "items",
    "mixers",
    "ovens",
    "overheads",
    "packs",
    "pars",
    "places",
    "products",
    "routes",
    "scales",
    "standing-orders",
    "substitutes",
    "suppliers",
];

#[test]
fn every_record_of_every_list_is_found_and_can_be_put_as_it_is() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    let mut bakery = demo::document("bakery")?;
    // One of each list, also where the demo has none.
    let saturdays =
        json!([{"weekdays": ["sat"], "lines": [{"product": "sugar-bun", "quantity": 6}]}]);
    bakery["standing_orders"] = json!([{
        "code": "harbour-weekend", "customer": "harbour-cafe", "drop": "07:00",
        "from": "2026-07-01", "days": saturdays
    }]);
    bakery["pars"] = json!([{
        "code": "counter-weekend", "customer": "counter", "drop": "07:00", "from": "2026-07-01",
        "days": saturdays
    }]);
    client.put_bakery(&bakery)?.success()?;
    for list in LISTS {
        let page = client.get(&format!("/v1/{list}?limit=1000"))?.success()?;
        let row = page["rows"].as_array().and_then(|rows| rows.last());
        let row = row.with_context(|| format!("no {list}"))?;
        let path = format!("/v1/{list}/{}", row["code"].as_str().context("a code")?);
        let held = client.get(&path)?;
        let record = held.success()?;
        let put = client.put(&path, &record, held.etag.as_deref())?;
        ensure!(put.status == 200, "{path}: {}", put.text());
        ensure!(put.etag == held.etag, "{path}: what is put as it is stays as it is");
    }
    Ok(())
}

/// Everything under a key, wherever it stands.
pub(crate) fn under<'a>(value: &'a Value, key: &str, found: &mut Vec<&'a str>) {
    match value {
        Value::Object(members) => {
            found.extend(members.get(key).and_then(Value::as_str));
            members.values().for_each(|member| under(member, key, found));
        }
        Value::Array(elements) => elements.iter().for_each(|element| under(element, key, found)),
        _ => {}
    }
}

#[test]
fn every_why_that_is_offered_leads_to_a_chain() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    let mut kinds = std::collections::BTreeSet::new();
    for path in [
        "/v1/service-dates/2026-06-12/requirements",
        "/v1/service-dates/2026-06-13/requirements",
        "/v1/work-dates/2026-06-11/weigh-out",
        "/v1/work-dates/2026-06-12/weigh-out",
        "/v1/shortages",
    ] {
        let sheet = client.get(path)?.success()?;
        let mut links = Vec::new();
        under(&sheet, "why", &mut links);
        for link in links {
            let kind = link.split('/').nth(3).unwrap_or_default().to_owned();
            // One of each kind and sheet is asked for; all of them must lead somewhere of ours.
            ensure!(link.starts_with("/v1/why/"), "{path}: {link}");
            if kinds.insert((kind, path)) {
                client.get(link)?.success().with_context(|| link.to_owned())?;
            }
        }
    }
    ensure!(kinds.len() > 3, "{kinds:?}");
    Ok(())
}

/// The first of a list, by a path.
fn first(client: &Client, path: &str) -> Result<Value> {
    let page = client.get(path)?.success()?;
    page["rows"].get(0).cloned().with_context(|| format!("{path} is empty"))
}

#[test]
fn every_sheet_and_table_is_served_by_its_own_address() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    let lot = first(client, "/v1/lots?limit=1")?;
    let lot = lot["id"].as_str().context("an id")?;
    for path in [
        "/v1/work-dates/2026-06-12/bake-sheet".to_owned(),
        "/v1/work-dates/2026-06-12/bench-sheet".to_owned(),
        "/v1/cost-changes.csv?from=2026-06-12&to=2026-06-13".to_owned(),
        "/v1/products/sugar-bun/nutrition".to_owned(),
        format!("/v1/lots/{lot}/recall.csv"),
        "/v1/why/batches/2026-06-12/bun".to_owned(),
    ] {
        let reply = client.get(&path)?;
        ensure!(reply.status == 200, "{path}: {}", reply.text());
    }
    let out = client.post_form("/sign-out", "")?;
    ensure!(out.status == 303, "{}", out.text());
    Ok(())
}

#[test]
fn every_way_to_say_no_has_its_kind() -> Result<()> {
    let empty = Server::start(demo::NOW)?;
    ensure!(empty.client().get("/v1/shortages")?.is_problem("no-bakery")?);
    let server = loaded()?;
    let client = server.client();
    ensure!(client.get("/v1/nowhere")?.is_problem("no-such-path")?);
    ensure!(client.delete("/v1/items")?.is_problem("method-not-allowed")?);
    ensure!(client.post_form("/v1/orders", "a=b")?.is_problem("not-declared-json")?);
    let rye = client.get("/v1/items/rye")?.success()?;
    ensure!(client.put("/v1/items/rye", &rye, Some("x"))?.is_problem("invalid-header")?);
    let other = client.put("/v1/items/other", &rye, None)?;
    ensure!(other.is_problem("code-mismatch")?, "{}", other.text());
    // Beyond the calendar nothing is planned.
    let late = client.get("/v1/work-dates/9999-12-31/weigh-out")?;
    ensure!(late.is_problem("plan-refused")?, "{}", late.text());
    let draft = json!({"supplier": "dairy", "who": "Imre", "cutoff": "2026-06-10T03:00:00+02:00",
        "lines": [{"pack": "whole-milk-12-l", "packs": 1}]});
    let none = client.post("/v1/supplier-orders", &draft)?;
    ensure!(none.is_problem("no-delivery")?, "{}", none.text());
    Ok(())
}

#[test]
fn what_cannot_be_reckoned_in_a_bakery_has_a_word_of_its_own() -> Result<()> {
    let server = loaded()?;
    let mut dollars = demo::document("bakery")?;
    dollars["packs"][0]["price"]["currency"] = json!("USD");
    ensure!(server.client().put_bakery(&dollars)?.is_problem("unit-mismatch")?);
    // Grams of what is made by the pan, when nobody says what a pan gives.
    let mut pan = demo::document("bakery")?;
    let sugar = json!({"item": "caster-sugar", "quantity": {"amount": "100", "unit": "g"}});
    pan["formulas"].as_array_mut().context("formulas")?.push(json!({
        "code": "brittle", "name": "Brittle", "base": "per_batch",
        "made": {"day": -1, "time": "09:00"}, "lines": [sugar]
    }));
    let product = &mut pan["products"][0]["make_up"];
    let grams = json!({"item": "brittle", "quantity": {"amount": "10", "unit": "g"}});
    product.as_array_mut().context("make-up")?.push(grams);
    let refused = server.client().put_bakery(&pan)?;
    ensure!(refused.is_problem("no-batch-mass")?, "{}", refused.text());
    Ok(())
}

#[test]
fn a_browser_signs_in_with_a_token_and_with_nothing_else() -> Result<()> {
    let server = loaded()?;
    let token = server.token("desk", weighhouse::access::Job::Clerk, None)?;
    let client = server.client();
    let wrong = client.post_form("/sign-in", "token=wh_nothing")?;
    ensure!(wrong.status == 401 && wrong.cookie.is_none(), "{}", wrong.status);
    let right = client.post_form("/sign-in", &format!("token={token}"))?;
    ensure!(right.status == 303, "{}", right.text());
    let cookie = right.cookie.context("a cookie")?;
    for part in ["HttpOnly", "SameSite=Strict", "Path=/"] {
        ensure!(cookie.contains(part), "{cookie}");
    }
    let pair = cookie.split(';').next().context("a pair")?;
    ensure!(client.get("/v1/items")?.status == 401);
    ensure!(client.with("Cookie", pair).get("/v1/items")?.status == 200);
    Ok(())
}
