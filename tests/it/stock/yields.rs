//! Yields are learnt, suggested, and never taken by themselves.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, stockroom::open};

fn scrap(client: &Client) -> Result<Value> {
    let yields = client.get("/v1/yields")?.success()?;
    let rows = yields["rows"].as_array().context("rows")?;
    let row = rows.iter().find(|row| row["code"] == "bun" && row["stage"] == "scrap");
    row.cloned().context("the buns' scrap is in the list")
}

#[test]
fn five_loads_suggest_a_figure_beside_the_one_that_is_set() -> Result<()> {
    let server = open()?;
    let client = server.client();
    let before = scrap(client)?;
    ensure!(before["observations"] == 0 && before["suggested"].is_null(), "{before}");
    let set = before["set"].clone();
    for load in 1..=5 {
        let seen = json!({"code": "bun", "stage": "scrap", "load": format!("bun/{load}"),
            "went_in": {"amount": "20", "unit": "kg"}, "came_out": {"amount": "19.4", "unit": "kg"}});
        client.post("/v1/yields/observations", &seen)?.success()?;
    }
    let after = scrap(client)?;
    // By hand: 600 g of 20 kg are 3 %.
    ensure!(after["mean"] == "3" && after["suggested"] == "3" && after["spread"] == "0");
    ensure!(after["set"] == set && after["differs"] == true, "nothing changes by itself: {after}");
    let odd = json!({"code": "bun", "stage": "scrap", "load": "bun/6",
        "went_in": {"amount": "20", "unit": "kg"}, "came_out": {"amount": "20.1", "unit": "kg"}});
    client.post("/v1/yields/observations", &odd)?.success()?;
    ensure!(scrap(client)?["odd"] == 1 && scrap(client)?["observations"] == 5);
    let bad = json!({"code": "no-such", "stage": "scrap", "load": "x",
        "went_in": {"amount": "0", "unit": "kg"}, "came_out": {"amount": "1", "unit": "kg"}});
    let reply = client.post("/v1/yields/observations", &bad)?;
    ensure!(reply.status == 422 && reply.json()?["errors"].as_array().map(Vec::len) == Some(2));
    Ok(())
}

#[test]
fn a_suggestion_is_accepted_by_a_person_and_old_batches_keep_the_old_figure() -> Result<()> {
    // Source: issue 4, item 3; trade.md 2.3: a person accepts a suggested figure.
    let server = weighhouse_tests::demo::serve(&weighhouse_tests::demo::document("bakery")?)?;
    let client = server.client();
    let load = client.post("/v1/loads/2026-06-12:bun:1/release", &json!({"who": "Anna"}))?;
    let load = load.success()?;
    let accept = json!({"code": "bun", "stage": "scrap", "who": "Anna"});
    let reply = client.post("/v1/yields/accept", &accept)?;
    ensure!(reply.is_problem("out-of-range")?, "too few loads: {}", reply.text());
    for number in 1..=5 {
        let seen = json!({"code": "bun", "stage": "scrap", "load": format!("bun/{number}"),
            "went_in": {"amount": "20", "unit": "kg"}, "came_out": {"amount": "19.4", "unit": "kg"}});
        client.post("/v1/yields/observations", &seen)?.success()?;
    }
    let gross = |date: &str| -> Result<String> {
        let found = client.requirements(date)?;
        let batches = found["batches"].as_array().context("batches")?;
        let bun = batches.iter().find(|batch| batch["formula"] == "bun").context("bun")?;
        Ok(bun["gross"]["amount"].as_str().context("gross")?.to_owned())
    };
    let saturday = gross("2026-06-13")?;
    let accept = json!({"code": "bun", "stage": "scrap", "who": "Anna",
        "valid_from": "2026-06-13"});
    let rows = client.post("/v1/yields/accept", &accept)?.success()?;
    let row = rows["rows"]
        .as_array()
        .context("rows")?
        .iter()
        .find(|row| row["code"] == "bun" && row["stage"] == "scrap");
    ensure!(row.is_some_and(|row| row["set"] == "3" && row["differs"] == false), "{rows}");
    let friday = gross("2026-06-12")?;
    ensure!(friday.starts_with("20197.43"), "Friday has the old figure (8.8): {friday}");
    // By hand: 22 555/(0.97 x 0.995) = 23 369.42 g for Saturday, not 23 013.54.
    ensure!(gross("2026-06-13")?.starts_with("23369.4"), "{saturday}, {}", gross("2026-06-13")?);
    let path = format!("/v1/loads/{}", load["id"].as_str().context("an id")?);
    let after = client.get(&path)?.success()?;
    ensure!(after["lines"] == load["lines"], "what was released never moves: {after}");
    let last = client.get("/v1/revisions?limit=1000")?.success()?;
    ensure!(last.to_string().contains("scrap of bun: 1.5 % to 3 %, accepted by Anna"), "{last}");
    // Rejects of a product, to a figure of one's own; no stage is invented.
    let own = json!({"code": "sugar-bun", "stage": "reject", "percent": "2", "who": "Anna"});
    client.post("/v1/yields/accept", &own)?.success()?;
    let product = client.get("/v1/products/sugar-bun")?.success()?;
    ensure!(product["reject"] == "2", "{product}");
    for (body, slug) in [
        (json!({"code": "bun", "stage": "no-such", "percent": "2", "who": "A"}), "unknown-code"),
        (json!({"code": "bun", "stage": "scrap", "percent": "100", "who": "A"}), "out-of-range"),
        (
            json!({"code": "bun", "stage": "scrap", "percent": "2", "who": "A",
                "valid_from": "2026-06-09"}),
            "out-of-range",
        ),
    ] {
        let reply = client.post("/v1/yields/accept", &body)?;
        ensure!(reply.status == 422 && reply.text().contains(slug), "{body}: {}", reply.text());
    }
    Ok(())
}
