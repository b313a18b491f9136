//! Cases 1 and 2: nights on which the clocks change.

use super::{batch, equal, house, order, serve};
use anyhow::Result;
use serde_json::{Value, json};

/// A dough that is put into the cold for some minutes, and taken out at the drop.
fn retarded(minutes: i64, drop: &str) -> Value {
    house(|bakery| {
        bakery["routes"] = json!([{
            "code": "overnight",
            "steps": [{"step": "retard", "minutes": minutes}], "limits": [],
        }]);
        bakery["formulas"][0]["made"] =
            json!({"route": "overnight", "step": "retard", "drop": drop});
    })
}

#[test]
fn case_1_ten_hours_over_the_spring_change_start_at_eight_for_seven() -> Result<()> {
    // Source: trade.md 7 case 1; check-values TZ-01 (2026-03-29T01:00Z).
    let server = serve(&retarded(600, "07:00"), "2026-03-27T09:00:00+01:00")?;
    let client = server.client();
    client.post_order(&order(1, "2026-03-29", "loaf", 20))?.success()?;
    let found = batch(&client.requirements("2026-03-29")?, "dough")?;
    equal(&found["made_at"], &json!("2026-03-28T20:00:00+01:00"))
}

#[test]
fn case_2_eight_hours_over_the_autumn_change_start_at_ten_for_five() -> Result<()> {
    // Source: trade.md 7 case 2; check-values TZ-01 (2026-10-25T01:00Z).
    let server = serve(&retarded(480, "05:00"), "2026-10-23T09:00:00+02:00")?;
    let client = server.client();
    client.post_order(&order(1, "2026-10-25", "loaf", 20))?.success()?;
    let found = batch(&client.requirements("2026-10-25")?, "dough")?;
    equal(&found["made_at"], &json!("2026-10-24T22:00:00+02:00"))
}

#[test]
fn case_2_the_hour_that_comes_twice_is_told_apart_by_its_offset() -> Result<()> {
    for (minutes, expected) in
        [(210, "2026-10-25T02:30:00+02:00"), (150, "2026-10-25T02:30:00+01:00")]
    {
        let server = serve(&retarded(minutes, "05:00"), "2026-10-23T09:00:00+02:00")?;
        let client = server.client();
        client.post_order(&order(1, "2026-10-25", "loaf", 20))?.success()?;
        let found = batch(&client.requirements("2026-10-25")?, "dough")?;
        equal(&found["made_at"], &json!(expected))?;
    }
    Ok(())
}
