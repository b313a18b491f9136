//! When it is too late to order: two ways to cut, and what a person decides.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{demo, server::Server};

/// After the mill's cutoff: rye for Saturday's country bread can no longer come in time.
const LATE: &str = "2026-06-10T12:10:00+02:00";
const CUTS: &str = "/v1/service-dates/2026-06-13/cuts";
const DECISIONS: &str = "/v1/service-dates/2026-06-13/decisions";

fn late() -> Result<Server> {
    demo::serve(&demo::document("bakery")?)?.at(LATE)
}

fn pieces(server: &Server, product: &str) -> Result<i64> {
    let answer = server.client().requirements("2026-06-13")?;
    let rows = answer["pieces"].as_array().context("pieces")?;
    let row = rows.iter().find(|row| row["product"] == product).context("the product")?;
    row["ordered"].as_i64().context("a number")
}

fn line<'a>(cuts: &'a Value, product: &str, customer: &str) -> Result<&'a Value> {
    let lines = cuts["lines"].as_array().context("lines")?;
    let own = |line: &&Value| line["product"] == product && line["customer"] == customer;
    lines.iter().find(own).with_context(|| format!("{product} of {customer}"))
}

#[test]
fn rye_is_short_and_two_ways_stand_side_by_side() -> Result<()> {
    let server = late()?;
    let cuts = server.client().get(CUTS)?.success()?;
    assert_eq!(cuts["state"], "UNDECIDED");
    // Source: alder-yard.md 8.9 D: 592 g of 2 968 g remain for Saturday's country.
    let scarce = cuts["scarce"].as_array().context("scarce")?;
    let rye = scarce.iter().find(|one| one["item"] == "rye").context("rye")?;
    assert_eq!(rye["there"], json!({"amount": "592", "unit": "g"}));
    assert_eq!(rye["wanted"], json!({"amount": "2968", "unit": "g"}));
    // Pier Hotel is of tier 1: it keeps all, by both ways.
    let pier = line(&cuts, "country-large", "pier-hotel")?;
    assert_eq!(
        (&pier["asked"], &pier["fair"], &pier["best"]),
        (&json!(10), &json!(10), &json!(10))
    );
    for product in ["country-large", "country-small"] {
        let rows = cuts["products"].as_array().context("products")?;
        let row = rows.iter().find(|row| row["product"] == product).context("cut")?;
        ensure!(row["fair"].as_i64() < row["asked"].as_i64(), "{row}");
        let because = row["fair_because"].as_str().context("a sentence")?;
        ensure!(because.contains("is short") && because.contains("is left"), "{because}");
    }
    for way in ["fair", "best"] {
        assert_eq!(cuts[way]["still_short"], json!([]), "{way}");
    }
    // Proven, or it says how much more there could be.
    let said = cuts["best"]["statement"].to_string();
    let open = said.contains("more at most");
    assert_eq!(cuts["best"]["proven"], json!(!open), "{said}");
    ensure!(cuts["best"]["worth"].as_i64() >= cuts["fair"]["worth"].as_i64(), "{cuts}");
    let again = server.client().get(CUTS)?.success()?;
    assert_eq!(cuts, again, "the same question, the same answer");
    let paper = server.client().get_as(CUTS, "text/html")?.text();
    ensure!(paper.contains("UNDECIDED") && paper.contains("decided by"), "{paper}");
    Ok(())
}

#[test]
fn undecided_stands_at_the_line_of_the_weigh_out() -> Result<()> {
    // Source: trade.md 5, "prints UNDECIDED on the weigh-out at that line".
    let server = late()?;
    let paper = server.client().get_as("/v1/work-dates/2026-06-12/weigh-out", "text/html")?.text();
    let lines: Vec<&str> = paper.split("<tr").filter(|line| line.contains("UNDECIDED")).collect();
    ensure!(lines.iter().any(|line| line.to_lowercase().contains("rye")), "{lines:?}");
    // It stands at the line of every other sheet that it is on.
    let client = server.client();
    for (sheet, date) in [
        ("mix-sheet", "2026-06-12"),
        ("pick-list", "2026-06-12"),
        ("bench-sheet", "2026-06-12"),
        ("day-board", "2026-06-12"),
    ] {
        let paper = client.get_as(&format!("/v1/work-dates/{date}/{sheet}"), "text/html")?.text();
        let rows: Vec<&str> = paper.split("<tr").filter(|row| row.contains("UNDECIDED")).collect();
        ensure!(rows.iter().any(|row| row.to_lowercase().contains("rye")), "{sheet}: {rows:?}");
    }
    // Before the cutoff it can still be ordered.
    let before = demo::serve(&demo::document("bakery")?)?;
    let sheet = before.client().weigh_out("2026-06-12")?;
    ensure!(!sheet.to_string().contains("\"undecided\":true"), "nothing is too late at 09:30");
    Ok(())
}

#[test]
fn a_decision_changes_the_plan_and_can_be_taken_back() -> Result<()> {
    let server = late()?;
    let client = server.client();
    let asked = pieces(&server, "country-large")?;
    let cuts = client.get(CUTS)?.success()?;
    let way = json!({"way": "fair", "plan_revision": cuts["plan_revision"], "who": "Anna",
        "note": "no rye before Saturday"});
    let decision = client.post(DECISIONS, &way)?.success()?;
    ensure!(decision["plan_revision"].as_i64() > cuts["plan_revision"].as_i64(), "{decision}");
    let kept = cuts["products"].as_array().context("products")?;
    let kept = kept.iter().find(|row| row["product"] == "country-large").context("cut")?;
    assert_eq!(json!(pieces(&server, "country-large")?), kept["fair"]);
    let after = client.get(CUTS)?.success()?;
    assert_eq!((&after["state"], &after["scarce"]), (&Value::Null, &json!([])));
    let short = client.shortages("2026-06-13")?;
    ensure!(short["notes"].to_string().contains("by decision (Anna: no rye"), "{}", short["notes"]);
    let board = client.get("/v1/work-dates/2026-06-12/day-board")?.text();
    ensure!(board.contains("by decision (Anna: no rye"), "the day board says it");

    // The order keeps what was asked; the till is told what is decided.
    let orders = client.get("/v1/orders?service_date=2026-06-13")?.success()?;
    let rows = orders["rows"].as_array().context("orders")?;
    let deli = rows.iter().find(|row| row["customer"] == "corner-deli").context("its order")?;
    let path = format!("/v1/orders/{}", deli["order_ref"].as_str().context("a name")?);
    let held = client.get(&path)?.success()?;
    let taken = held["lines"].as_array().context("lines")?;
    let large = taken.iter().find(|line| line["product"] == "country-large").context("line")?;
    assert_eq!(large["quantity_taken"], 20);
    let decided = held["decided"].as_array().context("decided")?;
    let decided = decided.iter().find(|line| line["product"] == "country-large").context("one")?;
    assert_eq!(decided["pieces"], line(&cuts, "country-large", "corner-deli")?["fair"]);

    let stale = client.post(DECISIONS, &way)?;
    ensure!(stale.is_problem("plan-moved")?, "{}", stale.text());
    let id = decision["id"].as_str().context("an id")?;
    let back = json!({"who": "Ben", "note": "a neighbour lends us a bag"});
    let path = format!("/v1/decisions/{id}/take-back");
    let taken = client.post(&path, &back)?.success()?;
    assert_eq!(taken["taken_back"], back);
    assert_eq!(pieces(&server, "country-large")?, asked);
    ensure!(client.post(&path, &back)?.is_problem("decision-impossible")?, "only once");
    let list = client.get(DECISIONS)?.success()?;
    assert_eq!((list.as_array().map(Vec::len), &list[0]["taken_back"]), (Some(1), &back));
    let cause = client.get("/v1/revisions")?.text();
    ensure!(cause.contains("taken back by Ben"), "{cause}");
    Ok(())
}

#[test]
fn a_decision_about_nothing_is_refused() -> Result<()> {
    let server = late()?;
    let client = server.client();
    let one = |customer: &str, pieces: i64| {
        json!({"who": "Anna", "note": "short", "lines": [
            {"customer": customer, "product": "country-large", "drop": "07:00", "pieces": pieces}]})
    };
    for body in [one("hill-school", 1), one("corner-deli", 21)] {
        let reply = client.post(DECISIONS, &body)?;
        ensure!(reply.is_problem("decision-impossible")?, "{}", reply.text());
    }
    let both = json!({"way": "fair", "who": " ", "note": "x", "plan_revision": 1,
        "lines": [{"customer": "counter", "product": "country-large", "pieces": 1}]});
    let reply = client.post(DECISIONS, &both)?;
    ensure!(reply.status == 422, "{}", reply.text());
    assert_eq!(reply.json()?["errors"].as_array().map(Vec::len), Some(2));
    Ok(())
}
