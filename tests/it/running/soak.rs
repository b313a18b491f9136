//! Half an hour of a house at work: what the server needs of memory does not grow.
//!
//! By hand, on Linux, with what a release is built with:
//! `cargo test --release -p weighhouse-tests --test it -- --ignored --nocapture a_house_at_work`.
//! `WEIGHHOUSE_SOAK_MINUTES` asks for another time.

use crate::crash::{Victim, asked};
use anyhow::{Context, Result, ensure};
use serde_json::json;
use std::{
    fs,
    sync::atomic::{AtomicBool, AtomicU64, Ordering},
    thread,
    time::{Duration, Instant},
};
use weighhouse_tests::{client::Client, demo};

/// How long, unless another time is asked for.
const MINUTES: usize = 30;
/// Orders that the callers send new versions of, over and over.
const ORDERS: u64 = 50;
/// Callers at once, and how long each waits after an answer.
const CALLERS: u64 = 4;
const PAUSE: Duration = Duration::from_millis(50);
/// Samples of the memory in a minute.
const SAMPLES_PER_MINUTE: usize = 4;
/// Most that the last third may need, in percent of the first: the books grow, caches are full.
const PERCENT_MAX: u64 = 125;

/// What is read between two orders, each in its turn.
const READ: [&str; 8] = [
    "/v1/work-dates/2026-06-12/weigh-out",
    "/v1/work-dates/2026-06-12/day-board",
    "/v1/shortages",
    "/v1/service-dates/2026-06-13/schedule",
    "/v1/service-dates/2026-06-13/costs",
    "/v1/lots?limit=100",
    "/v1/products/choc-roll/label",
    "/v1/changes?after=now",
];

/// Sends versions of orders and reads sheets until the time is over; returns how many answers.
fn work(base: &str, caller: u64, next: &AtomicU64, over: &AtomicBool) -> Result<u64> {
    let client = Client::new(base);
    let mut answers = 0;
    while !over.load(Ordering::SeqCst) {
        let number = next.fetch_add(1, Ordering::SeqCst);
        // Each caller has orders of its own, so that versions come in their order.
        let order = json!({
            "order_ref": format!("soak-{caller}-{}", number % (ORDERS / CALLERS)),
            "version": 1 + number, "customer": "counter",
            "service_date": "2026-06-17", "drop": "07:00",
            "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": 1 + number % 20}],
        });
        client.post_under("/v1/orders", &order, &format!("{caller}-{number}"))?.success()?;
        let path = READ[usize::try_from(number)? % READ.len()];
        let reply = client.get(path)?;
        ensure!(reply.status == 200, "{path}: {} {}", reply.status, reply.text());
        answers += 2;
        thread::sleep(PAUSE);
    }
    Ok(answers)
}

/// Samples of the memory, one after the other until the time is over.
fn samples(victim: &Victim, minutes: usize, began: Instant) -> Result<Vec<u64>> {
    let every = Duration::from_secs(60) / u32::try_from(SAMPLES_PER_MINUTE)?;
    let mut samples = Vec::new();
    for number in 1..=minutes * SAMPLES_PER_MINUTE {
        let due = every * u32::try_from(number)?;
        thread::sleep(due.saturating_sub(began.elapsed()));
        let resident_kb = victim.resident_kb()?;
        if number % SAMPLES_PER_MINUTE == 0 {
            eprintln!("minute {}: {resident_kb} kB", number / SAMPLES_PER_MINUTE);
        }
        samples.push(resident_kb);
    }
    Ok(samples)
}

fn mean(samples: &[u64]) -> Result<u64> {
    let count = u64::try_from(samples.len())?;
    samples.iter().sum::<u64>().checked_div(count).context("no sample")
}

#[test]
#[ignore = "takes half an hour: by hand"]
fn a_house_at_work_needs_no_more_memory_as_time_goes_by() -> Result<()> {
    let minutes = asked("WEIGHHOUSE_SOAK_MINUTES", MINUTES)?;
    let folder = std::env::temp_dir().join(format!("weighhouse-soak-{}", std::process::id()));
    fs::create_dir_all(&folder)?;
    let victim = Victim::start(&folder)?;
    let base = victim.base.clone();
    Client::new(base.clone()).put_bakery(&demo::document("bakery")?)?.success()?;
    let (next, over, began) = (AtomicU64::new(0), AtomicBool::new(false), Instant::now());
    let (samples, answers) = thread::scope(|scope| -> Result<_> {
        let start = |caller| {
            let (base, next, over) = (&base, &next, &over);
            scope.spawn(move || work(base, caller, next, over))
        };
        let callers: Vec<_> = (0..CALLERS).map(start).collect();
        let samples = samples(&victim, minutes, began);
        over.store(true, Ordering::SeqCst);
        let mut answers = 0;
        for caller in callers {
            answers += caller.join().map_err(|_| anyhow::anyhow!("a caller died"))??;
        }
        Ok((samples?, answers))
    })?;
    let third = samples.len() / 3;
    let (first, last) = (mean(&samples[..third])?, mean(&samples[samples.len() - third..])?);
    let percent = last * 100 / first;
    eprintln!(
        "{answers} answers in {minutes} minutes; memory of the last third is {percent} % of the \
         first: {last} kB of {first} kB"
    );
    drop(victim);
    fs::remove_dir_all(&folder)?;
    ensure!(percent <= PERCENT_MAX, "it grew to {percent} %: {samples:?}");
    Ok(())
}
