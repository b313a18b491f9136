//! Plans that are kept between requests: never older than the database.

use anyhow::{Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{builders::Seed, client::Client, demo};

/// Everything that is read off a plan, of two horizons.
const READS: [&str; 7] = [
    "/v1/service-dates/2026-06-12/requirements",
    "/v1/service-dates/2026-06-16/requirements",
    "/v1/work-dates/2026-06-11/weigh-out",
    "/v1/work-dates/2026-06-11/day-board",
    "/v1/work-dates/2026-06-11/pick-list",
    "/v1/shortages",
    "/v1/shortages?until=2026-06-12",
];

fn read(client: &Client) -> Result<Vec<Value>> {
    READS.into_iter().map(|path| client.get(path)?.success()).collect()
}

fn order(name: u64, version: i64, buns: i64) -> Value {
    json!({
        "order_ref": format!("kept-{name}"), "version": version, "customer": "harbour-cafe",
        "service_date": "2026-06-12", "drop": "07:00",
        "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": buns},
                  {"line_ref": "2", "product": "seed-tin", "quantity": 3}],
    })
}

/// One server reads and keeps, another on the same data writes, a third has kept nothing.
#[test]
fn a_kept_plan_is_that_of_the_database_whoever_wrote_it() -> Result<()> {
    let reader = demo::serve(&demo::document("bakery")?)?;
    let writer = reader.beside(demo::NOW)?;
    let mut seed = Seed::new(3);
    for turn in 0..8 {
        let before = read(reader.client())?;
        let revision = before[0]["plan_revision"].as_i64();
        let client = if seed.chance(50) { reader.client() } else { writer.client() };
        for version in 1..=seed.between(1, 3) {
            let (name, version) = (seed.below(4), turn * 10 + version);
            // Each server counts its own keys, and both write the same data.
            let key = format!("kept-{version}");
            if seed.chance(20) {
                let (path, cancel) =
                    (format!("/v1/orders/kept-{name}/cancel"), json!({"version": version}));
                client.post_under(&path, &cancel, &key)?.success()?;
            } else {
                let order = order(name, version, seed.between(1, 90));
                client.post_under("/v1/orders", &order, &key)?.success()?;
            }
        }
        if turn % 4 == 3 {
            // Not an order: all is read anew.
            let receipt = json!({
                "item": "rye", "lot": format!("K-{turn}"), "received": "2026-06-01",
                "place": "dry-store", "quantity": {"amount": "25", "unit": "kg"},
            });
            client.post_under("/v1/receipts", &receipt, &format!("receipt-{turn}"))?.success()?;
        }
        let after = read(reader.client())?;
        ensure!(after[0]["plan_revision"].as_i64() > revision, "turn {turn}: an old plan");
        ensure!(after == read(reader.client())?, "turn {turn}: the same again");
        let fresh = reader.beside(demo::NOW)?;
        for ((path, kept), fresh) in READS.iter().zip(&after).zip(&read(fresh.client())?) {
            ensure!(kept == fresh, "turn {turn}: {path} reads otherwise from a kept plan");
        }
    }
    Ok(())
}
