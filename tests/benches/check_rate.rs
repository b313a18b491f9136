//! How long `POST /v1/orders/check` takes on the demo day, asked at a steady rate.
//!
//! `cargo bench -p weighhouse-tests --bench check_rate` prints it; nothing is asserted, for
//! a busy machine must not fail a build. Requests leave at their own times whether or not
//! the one before was answered, and each is measured from the time at which it should have
//! left, so that waiting counts. `GET /healthz` at the same rate in the same run is what the
//! machine and the connection cost alone.
//!
//! The orders are drawn from a seed: one to five lines for five service dates, most of them
//! small, one in twenty far beyond what can be made. Every second a small order is taken in
//! between, so that the plan that is kept between questions is made anew each second.

use anyhow::{Context, Result, anyhow};
use serde_json::{Value, json};
use std::{
    thread,
    time::{Duration, Instant},
};
use weighhouse_tests::{builders::Seed, client::Client, demo, figures::print};

/// Requests in a second.
const RATE: u32 = 50;
/// Seconds that are measured.
const SECONDS: u32 = 20;
/// Clients that take turns; more than are ever waiting.
const CLIENTS: u32 = 10;
/// Where the draws start.
const SEED: u64 = 20_260_610;

const CUSTOMERS: [&str; 5] =
    ["hill-school", "pier-hotel", "harbour-cafe", "corner-deli", "counter"];
const DATES: [&str; 5] = ["2026-06-11", "2026-06-12", "2026-06-13", "2026-06-16", "2026-06-17"];
const PRODUCTS: [&str; 8] = [
    "country-large",
    "baguette-350",
    "seed-tin",
    "sugar-bun",
    "custard-bun",
    "croissant",
    "raisin-spiral",
    "almond-croissant",
];

/// What is sent.
#[derive(Clone, Copy)]
enum Asked {
    Health,
    Check,
}

fn order(dice: &mut Seed, number: u32) -> Value {
    let mut lines = Vec::new();
    for line in 0..dice.between(1, 5) {
        let large = dice.between(1, 20) == 1;
        let quantity = if large { 5_000 } else { dice.between(1, 24) };
        let product = dice.pick(&PRODUCTS);
        lines.push(json!({"line_ref": line.to_string(), "product": product, "quantity": quantity}));
    }
    json!({
        "order_ref": format!("rate-{number}"),
        "version": 1,
        "customer": dice.pick(&CUSTOMERS),
        "service_date": dice.pick(&DATES),
        "drop": "07:00",
        "lines": lines,
    })
}

/// An order that is taken in between, so that the plan is another.
fn small(number: u32) -> Value {
    json!({
        "order_ref": format!("taken-{number}"),
        "version": 1,
        "customer": "counter",
        "service_date": "2026-06-16",
        "drop": "07:00",
        "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": 2}],
    })
}

/// Sends every `CLIENTS`-th request of a run and measures each from when it was due.
fn send(base: &str, asked: Asked, start: Instant, first: u32) -> Result<Vec<Duration>> {
    let client = Client::new(base);
    let mut times = Vec::new();
    for number in (first..RATE * SECONDS).step_by(usize::try_from(CLIENTS)?) {
        let mut dice = Seed::new(SEED + u64::from(number));
        let order = order(&mut dice, number);
        let due = start + Duration::from_secs(1) * number / RATE;
        thread::sleep(due.saturating_duration_since(Instant::now()));
        match asked {
            Asked::Health => client.get("/healthz")?.success().map(drop)?,
            Asked::Check => client.post("/v1/orders/check", &order)?.success().map(drop)?,
        }
        times.push(due.elapsed());
        if matches!(asked, Asked::Check) && number % RATE == 0 {
            let key = format!("rate-{number}");
            client.post_under("/v1/orders", &small(number), &key)?.success().map(drop)?;
        }
    }
    Ok(times)
}

fn run(base: &str, asked: Asked) -> Result<Vec<Duration>> {
    let start = Instant::now() + Duration::from_millis(100);
    let clients: Vec<_> = (0..CLIENTS)
        .map(|first| {
            let base = base.to_owned();
            thread::spawn(move || send(&base, asked, start, first))
        })
        .collect();
    let mut times = Vec::new();
    for client in clients {
        times.extend(client.join().map_err(|_| anyhow!("a client panicked"))??);
    }
    times.sort_unstable();
    Ok(times)
}

/// The time that so many percent of the requests did not exceed.
fn percentile(times: &[Duration], percent: usize) -> Result<Duration> {
    let at = (times.len() * percent).div_ceil(100).saturating_sub(1);
    times.get(at).copied().context("no request was measured")
}

fn main() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let base = server.client().base();
    let health = run(base, Asked::Health)?;
    let check = run(base, Asked::Check)?;
    let count = check.len();
    print(&format!("{count} requests each, {RATE} a second; one order taken each second"));
    for percent in [50, 99, 100] {
        let (health, check) = (percentile(&health, percent)?, percentile(&check, percent)?);
        let tenths = check.as_nanos() * 10 / health.as_nanos().max(1);
        print(&format!(
            "p{percent:<3} healthz {:>7} us   orders/check {:>7} us   {:>4}.{} x",
            health.as_micros(),
            check.as_micros(),
            tenths / 10,
            tenths % 10
        ));
    }
    Ok(())
}
