//! Levain for a day whose orders are not in yet.

use super::{Yard, bakery};
use anyhow::Result;
use serde_json::json;

/// Ten loaves take 2 000 g of levain. Saturday's build is 2 000 / 0.98 + 500 = 2 540.816 g
/// and takes 20/220 = 230.983 g of Friday's, which keeps exactly that; as long as Saturday's
/// orders may still change it keeps 1.1 times as much: 254.082 g.
///
/// # Source
/// Trade.md 2.7: if tomorrow's orders are not in, use standing orders x 1.1 (common practice).
#[test]
fn a_build_for_standing_orders_keeps_a_tenth_more_until_they_are_in() -> Result<()> {
    let mut house = bakery();
    house["customers"][0]["cutoff"] = json!({"day": -3, "time": "17:00"});
    house["standing_orders"] = json!([{
        "code": "mornings", "customer": "cafe", "drop": "07:00",
        "from": "2026-06-12", "until": "2026-06-13",
        "days": [{"weekdays": ["fri", "sat"], "lines": [{"product": "loaf", "quantity": 10}]}],
    }]);
    for (now, kept) in [
        ("2026-06-10T09:30:00+02:00", "254.081633"),
        // Exactly at the cutoff an order is in time.
        ("2026-06-10T17:00:00+02:00", "254.081633"),
        ("2026-06-10T17:01:00+02:00", "230.983302"),
    ] {
        let yard = Yard::open(now, &house)?;
        Yard::is(&yard.batch_for("2026-06-12", "levain")?["keep_back"], kept)?;
    }
    Ok(())
}
