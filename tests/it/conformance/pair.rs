//! One pair: the scenario goes in through the API, the answers come out and are compared.

use super::{
    aged_dough, back_schedule, batches, cost, count_me, desk::Desk, late_orders, pieces, recalls,
    refusal, statements, tally::Tally, unscheduled,
};
use anyhow::{Context, Result, bail};
use serde_json::{Map, Value, json};
use std::{collections::BTreeMap, fs, path::Path};
use weighhouse_tests::{
    client::Client,
    scenario::{Horizon, OVERDRAWN, Scenario},
    server::Server,
};

/// Answers of a server, by service date.
pub type Answers = BTreeMap<String, Value>;

/// Compares one pair.
///
/// # Errors
/// Something could not be read, loaded or asked; differences are no error but counted.
pub fn compare(scenario: &Path, tally: &mut Tally) -> Result<()> {
    let document = read(scenario)?;
    let name = scenario.to_string_lossy().replace(".scenario.json", ".expected.json");
    let expected = read(Path::new(&name))?;
    let scenario = Scenario::read(&document)?;
    for (what, count) in &scenario.not_sent {
        tally.not_sent(what, *count);
    }
    if !scenario.rounded.is_empty() {
        let texts = scenario.rounded.join(", ");
        tally.remark(format!("rounded to the wire's smallest unit on the way in: {texts}"));
    }
    let expected = expected.as_object().context("the expected file is no object")?;
    if let Some(reason) = expected.get("refused").filter(|reason| !reason.is_null()) {
        return refusal::compare(&scenario, reason, tally);
    }
    sections(&scenario, expected, tally)
}

fn read(path: &Path) -> Result<Value> {
    let bytes = fs::read(path).with_context(|| format!("{}", path.display()))?;
    serde_json::from_slice(&bytes).with_context(|| format!("{} is not JSON", path.display()))
}

fn sections(scenario: &Scenario, expected: &Map<String, Value>, tally: &mut Tally) -> Result<()> {
    let none = Vec::new();
    let horizons = expected.get("horizons").and_then(Value::as_array).unwrap_or(&none);
    if horizons.len() != scenario.horizons.len() {
        tally.fault(format!(
            "{} horizons are expected, {} are in the scenario",
            horizons.len(),
            scenario.horizons.len()
        ));
    }
    let server = served(scenario, None, tally)?;
    for (key, value) in expected {
        match key.as_str() {
            "scenario" | "form" | "refused" | "horizons" => {}
            "overall" | "allergens" | "allergens_with_substitute" => {
                statements::compare(key, value, scenario, server.client(), tally)?;
            }
            unknown => tally.fault(format!("unknown section `{unknown}`: nothing compares it")),
        }
    }
    for (horizon, expected) in scenario.horizons.iter().zip(horizons) {
        let place = format!("horizon {}", horizon.id);
        compare_horizon(scenario, horizon, expected, tally).with_context(|| place)?;
    }
    Ok(())
}

/// A fresh server that holds the scenario, and a horizon's stock.
fn served(scenario: &Scenario, horizon: Option<&Horizon>, tally: &mut Tally) -> Result<Server> {
    let now = horizon.or(scenario.horizons.first()).map(|horizon| horizon.now.as_str());
    let server = Server::start(now.context("a scenario without horizon has no clock")?)?;
    server.client().put_bakery(&scenario.bakery)?.success().context("PUT /v1/bakery")?;
    stocked(&server, horizon, tally)?;
    Ok(server)
}

/// A server that came by a horizon's orders in good time, at the horizon's moment.
fn ordered(
    scenario: &Scenario,
    horizon: &Horizon,
    tally: &mut Tally,
) -> Result<(Server, Vec<RefusedLine>)> {
    // A scenario says what is held at its moment, not when it came: before every cutoff.
    let now: jiff::Timestamp = horizon.now.parse().context("the horizon's moment")?;
    let before = now.checked_sub(jiff::SignedDuration::from_hours(24 * 14))?;
    let server = Server::start(&before.to_string())?;
    server.client().put_bakery(&scenario.bakery)?.success().context("PUT /v1/bakery")?;
    let refused = post_orders(server.client(), horizon)?;
    let server = server.at(&horizon.now)?;
    stocked(&server, Some(horizon), tally)?;
    Ok((server, refused))
}

fn stocked(server: &Server, horizon: Option<&Horizon>, tally: &mut Tally) -> Result<()> {
    let client = server.client();
    let mut received = Vec::new();
    for receipt in horizon.iter().flat_map(|horizon| &horizon.receipts) {
        let mut body = receipt.clone();
        let overdrawn = body.as_object_mut().and_then(|body| body.remove(OVERDRAWN)).is_some();
        match client.post_receipt(&body)?.success() {
            Ok(lot) if overdrawn => {
                let waste = json!({"lot": lot["id"], "quantity": body["quantity"],
                    "reason": "spilled"});
                for _ in 0..2 {
                    client.post("/v1/waste", &waste)?.success().context("an overdraft")?;
                }
            }
            Ok(lot) => received.push((receipt, lot)),
            Err(failure) => {
                tally.fault(format!("a receipt was refused: {receipt}: {failure:#}"));
            }
        }
    }
    let past = horizon.map_or(&[][..], |horizon| &horizon.past_loads);
    if !past.is_empty() {
        let kept = client.post("/v1/past-loads", &json!({"loads": past}))?.success();
        if let Err(failure) = kept {
            tally.fault(format!("loads of the past were refused: {failure:#}"));
        }
    }
    // Figures that stand for an earlier moment were counted then.
    if let Some(at) = horizon.and_then(|horizon| horizon.counted_at.as_deref()) {
        for (receipt, lot) in received.iter().filter(|(receipt, _)| receipt["state"] != "expected")
        {
            let (id, quantity) = (&lot["id"], &receipt["quantity"]);
            let count = json!({"lot": id, "counted_at": at, "quantity": quantity});
            client.post("/v1/counts", &count)?.success().context("a count is refused")?;
        }
    }
    Ok(())
}

fn compare_horizon(
    scenario: &Scenario,
    horizon: &Horizon,
    expected: &Value,
    tally: &mut Tally,
) -> Result<()> {
    let expected = expected.as_object().context("the expected horizon is no object")?;
    let (server, refused) = ordered(scenario, horizon, tally)?;
    let client = server.client();
    let mut answers = Answers::new();
    for date in &horizon.service_dates {
        answers.insert(date.clone(), client.requirements(date)?);
    }
    let desk = Desk { client, scenario, horizon };
    for (key, value) in expected {
        let done = match key.as_str() {
            "id" | "now" => Ok(()),
            "pieces" => pieces::pieces(value, scenario, &answers, tally),
            "day_old_from_stock" => pieces::day_old(value, scenario, &answers, tally),
            "refused_lines" => pieces::refused_lines(value, scenario, &refused, tally),
            "joint_fruit" => pieces::joint_fruit(value, scenario, &answers, tally),
            "needs" => pieces::needs(value, scenario, &answers, tally),
            "need_totals" => pieces::need_totals(value, scenario, &answers, tally),
            "dough_stock" => aged_dough::dough_stock(value, scenario, horizon, &answers, tally),
            "batches" => batches::batches(value, scenario, &answers, tally),
            "shortages_before_new_orders" => desk.shortages(value, tally),
            "no_shortage" => desk.covered(value, tally),
            "suggested_orders" => desk.proposals(value, tally),
            "cutoffs" => desk.cutoffs(value, tally),
            "projection_with_orders" => desk.projections(value, tally),
            "fair_share" => desk.fair_shares(value, tally),
            "held_lots" => recalls::held_lots(value, scenario, client, tally),
            "recalls" => recalls::recalls(value, scenario, client, tally),
            "standard_cost" => cost::standard_cost(value, scenario, client, tally),
            "count_me_first" => count_me::count_me_first(value, scenario, client, tally),
            "back_schedule" => back_schedule::back_schedule(value, scenario, client, tally),
            "unscheduled" => unscheduled::unscheduled(value, scenario, &answers, tally),
            // Asked last: the clock is turned for each of them.
            "late_orders" => Ok(()),
            unknown => bail!("unknown section `{unknown}`: nothing compares it"),
        };
        // One unreadable section does not hide the others.
        if let Err(failure) = done {
            tally.fault(format!("horizon {}, {key}: {failure:#}", horizon.id));
        }
    }
    if let Some(value) = expected.get("late_orders") {
        late_orders::late_orders(value, scenario, server, &horizon.now, tally)
            .with_context(|| format!("horizon {}, late_orders", horizon.id))?;
    }
    Ok(())
}

/// A line that was not taken.
#[derive(Debug)]
pub struct RefusedLine {
    /// Its order's service date.
    pub service_date: String,
    /// Its order's customer, by code.
    pub customer: String,
    /// Its product, by code.
    pub product: String,
    /// The reason word.
    pub reason: Value,
}

/// Posts the orders of a horizon and collects the lines that were refused.
fn post_orders(client: &Client, horizon: &Horizon) -> Result<Vec<RefusedLine>> {
    let mut refused = Vec::new();
    for order in &horizon.orders {
        let answer = client.post_order(order)?.success();
        let answer = answer.with_context(|| format!("an order was refused whole: {order}"))?;
        let text = |key: &str| order[key].as_str().unwrap_or_default().to_owned();
        for line in answer["lines"].as_array().into_iter().flatten() {
            if line["state"] == "refused" {
                refused.push(RefusedLine {
                    service_date: text("service_date"),
                    customer: text("customer"),
                    product: line["product"].as_str().unwrap_or_default().to_owned(),
                    reason: line["reason"].clone(),
                });
            }
        }
    }
    Ok(refused)
}
