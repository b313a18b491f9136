//! Case 28: a recall of flour that entered the levain 40 days ago.

use super::{NOW, house, serve};
use anyhow::{Context, Result, ensure};
use jiff::civil::Date;
use serde_json::{Value, json};
use weighhouse_tests::exact;

/// Builds from the day on which the flour came in to the day before the recall.
const BUILDS: i32 = 40;

fn grams(amount: i64) -> Value {
    json!({"amount": amount.to_string(), "unit": "g"})
}

/// Day by day: a levain of 100 g flour, 100 g water and 20 g of the day before; and a dough of
/// 87 g other flour, 60 g water and 30 g levain, sent to the cafe as one loaf.
fn days(first: Date) -> Result<Vec<Value>> {
    let mut loads = Vec::new();
    for build in 1..=BUILDS {
        let date = first.checked_add(jiff::Span::new().days(build - 1))?;
        let at = |time: &str| format!("{date}T{time}:00+02:00");
        let flour = if build == 1 { "RECALLED" } else { "OTHER" };
        let mut took = json!([
            {"item": "flour", "lot": flour, "quantity": grams(100)},
            {"item": "water", "quantity": grams(100)},
        ]);
        let seed = match build {
            1 => json!({"item": "levain", "lot": "before", "quantity": grams(20)}),
            _ => json!({"item": "levain", "load": format!("levain {}", build - 1),
                "quantity": grams(20)}),
        };
        took.as_array_mut().context("a list")?.push(seed);
        loads.push(json!({"load": format!("levain {build}"), "formula": "levain",
            "made_at": at("02:00"), "took": took, "gave": [{"quantity": grams(220)}]}));
        let sold = date.checked_add(jiff::Span::new().days(1))?;
        loads.push(json!({"load": format!("dough {build}"), "formula": "dough",
            "made_at": at("11:00"),
            "took": [
                {"item": "flour", "lot": "OTHER", "quantity": grams(87)},
                {"item": "water", "quantity": grams(60)},
                {"item": "levain", "load": format!("levain {build}"), "quantity": grams(30)},
            ],
            "gave": [{"quantity": grams(177)}],
            "sent": [{"product": "loaf", "customer": "cafe", "service_date": sold.to_string(),
                "drop": "07:00", "quantity": {"amount": "1", "unit": "each"}}]}));
    }
    Ok(loads)
}

#[test]
fn case_28_a_flour_lot_that_entered_the_levain_40_days_ago_lists_every_load_since() -> Result<()> {
    let bakery = house(|bakery| {
        bakery["formulas"].as_array_mut().into_iter().for_each(|formulas| {
            formulas.push(json!({"code": "levain", "base": "parts", "losses": [],
                "made": {"day": -1, "time": "02:00"},
                "lines": [{"item": "flour", "parts": "100"}, {"item": "water", "parts": "100"},
                          {"item": "levain", "parts": "20", "previous_batch": true}]}));
        });
    });
    let server = serve(&bakery, NOW)?;
    let client = server.client();
    let today: Date = "2026-06-10".parse()?;
    let first = today.checked_sub(jiff::Span::new().days(BUILDS))?;
    client.post("/v1/past-loads", &json!({"loads": days(first)?}))?.success()?;
    let lots = client.get("/v1/lots?item=flour")?.success()?;
    let rows = lots["rows"].as_array().context("rows")?;
    let flour = rows.iter().find(|row| row["lot"] == "RECALLED").context("the flour")?;
    let id = flour["id"].as_str().context("an id")?;
    let file = client.get(&format!("/v1/lots/{id}/recall"))?.success()?;
    let steps = file["went_into"]["steps"].as_array().context("steps")?;
    // All loads since, 40 levains and 40 doughs: nothing is auto-dropped.
    ensure!(steps.len() == 80, "{} loads are listed", steps.len());
    let seed = exact::parse("20/220")?;
    let mut share = exact::parse("100/220")?;
    for build in 1..=BUILDS {
        let found = |name: String| steps.iter().find(|step| step["name"] == name);
        let levain = found(format!("levain, past load levain {build}")).context("a levain")?;
        let dough = found(format!("dough, past load dough {build}")).context("a dough")?;
        ensure!(levain["generation"] == build && dough["generation"] == build + 1, "{dough}");
        let text = levain["share"]["exact"].as_str().context("exact")?;
        ensure!(exact::parse(text)? == share, "build {build}: {levain}");
        let text = dough["share"]["exact"].as_str().context("exact")?;
        ensure!(exact::parse(text)? == share.clone() * exact::parse("30/177")?, "{dough}");
        share *= seed.clone();
    }
    let last = steps.last().context("a last step")?;
    ensure!(last["share"]["percent"] == "below 0.000001", "{last}");
    // Every drop of 40 days, by name.
    let sent = file["recipients"].as_array().context("recipients")?;
    ensure!(sent.len() == 40 && sent.iter().all(|one| one["customer"] == "cafe"), "{sent:?}");
    let dates: Vec<_> = sent.iter().filter_map(|one| one["service_date"].as_str()).collect();
    ensure!(dates.first() == Some(&"2026-05-02") && dates.last() == Some(&"2026-06-10"));
    Ok(())
}
