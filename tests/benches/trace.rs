//! A trace over a million movements, as a ratio to one indexed read of the rows it stands on.
//!
//! A levain is built every day out of one flour lot of the week and a spoon of the build
//! before; each build goes into 25 doughs of the day, which are sent. The flour lot that is
//! traced entered 40 builds before the last. Nothing is asserted: a busy machine must not
//! fail a build.

use anyhow::{Context, Result};
use domain::trace::Direction;
use std::{
    fs,
    hint::black_box,
    io::Write as _,
    time::{Duration, Instant},
};
use weighhouse::{
    clock::Clock,
    config::Config,
    document::{BakeryBody, decode},
    service::{Refusal, bakery, load, trace},
    state::State,
    store::{Tx, lots, lots::LotRow, movements, movements::MovementRow, trace as rows},
};
use weighhouse_tests::demo::{self, document};

/// Movements of the ledger.
const MOVEMENTS: usize = 1_000_000;
/// Doughs that each build goes into.
const DOUGHS: usize = 25;
/// Builds between the traced flour and the last.
const BUILDS: usize = 40;
/// Movements in one transaction while the ledger is filled.
const CHUNK: usize = 20_000;
/// Runs of each measurement; the fastest counts, as the one least disturbed.
const RUNS: usize = 7;

const SITE: &str = "main";
const GRAM: i64 = 1_000_000;

/// A ledger in the making.
struct Filling {
    state: State,
    lots: Vec<LotRow>,
    movements: Vec<MovementRow>,
    written: usize,
}

impl Filling {
    fn lot(&mut self, id: &str, item: &str) {
        let of = (id, item, "g");
        self.lots.push(LotRow::new(SITE, id.to_owned(), of, "2026-01-01".to_owned()));
    }

    fn entry(&mut self, lot: &str, kind: &str, grams: i64, (load, document): (&str, &str)) {
        self.written += 1;
        let number = i64::try_from(self.written).unwrap_or(0);
        let day = 1_700_000_000 + number;
        let text = |text: &str| Some(text.to_owned()).filter(|text| !text.is_empty());
        self.movements.push(MovementRow {
            site: SITE.to_owned(),
            id: format!("m{number:012}"),
            lot: lot.to_owned(),
            kind: kind.to_owned(),
            amount_micro: grams * GRAM,
            happened_at: format!("{:.9}", jiff::Timestamp::from_second(day).unwrap_or_default()),
            recorded_at: format!("{:.9}", jiff::Timestamp::from_second(day).unwrap_or_default()),
            reason: None,
            who: None,
            document: text(document),
            load: text(load),
            place: String::new(),
            reverses: None,
            sequence: number,
            previous_hash: String::new(),
            hash: String::new(),
        });
    }

    fn flush(&mut self) -> Result<()> {
        let (lots_new, new) = (std::mem::take(&mut self.lots), std::mem::take(&mut self.movements));
        let write = |tx: &mut Tx| -> Result<(), Refusal> {
            for lot in &lots_new {
                lots::insert(tx, lot)?;
            }
            for movement in &new {
                movements::insert(tx, movement)?;
            }
            Ok(())
        };
        self.state.store.write(write).context("the ledger is not filled")
    }
}

/// Fills the ledger; the flour lot to trace.
fn fill(filling: &mut Filling) -> Result<String> {
    for salt in ["salt-a", "salt-b"] {
        filling.lot(salt, "fine-salt");
    }
    let mut build = 0_usize;
    while filling.written < MOVEMENTS {
        let flour = format!("flour-{build:06}");
        filling.lot(&flour, "strong-white");
        filling.entry(&flour, "receive", 100_000, ("", ""));
        let levain = format!("levain-{build:06}");
        filling.lot(&levain, "levain");
        let load = format!("build-{build:06}");
        filling.entry(&flour, "weigh", -10_000, (&load, ""));
        if build > 0 {
            let seed = format!("levain-{:06}", build - 1);
            filling.entry(&seed, "weigh", -2_000, (&load, ""));
        }
        filling.entry(&levain, "make", 22_000, (&load, ""));
        for dough in 0..DOUGHS {
            let (made, load) =
                (format!("dough-{build:06}-{dough}"), format!("load-{build:06}-{dough}"));
            filling.lot(&made, "country");
            filling.entry(&flour, "weigh", -3_000, (&load, ""));
            filling.entry(&levain, "weigh", -700, (&load, ""));
            filling.entry("salt-a", "weigh", -50, (&load, ""));
            filling.entry("salt-b", "weigh", -10, (&load, ""));
            filling.entry(&made, "make", 6_000, (&load, ""));
            filling.entry(&made, "send", -6_000, ("", &format!("note {build}-{dough}")));
        }
        build += 1;
        if filling.movements.len() >= CHUNK {
            filling.flush()?;
        }
    }
    filling.flush()?;
    Ok(format!("flour-{:06}", build - BUILDS))
}

fn fastest<T>(mut work: impl FnMut() -> Result<T>) -> Result<Duration> {
    let mut best = Duration::MAX;
    for _ in 0..RUNS {
        let start = Instant::now();
        black_box(work()?);
        best = best.min(start.elapsed());
    }
    Ok(best)
}

fn measure(state: &State, origin: &str) -> Result<()> {
    let trace_once = |direction| {
        state.store.read(|tx| -> Result<_, Refusal> {
            let bakery = bakery::load(state, tx)?;
            trace::trace(tx, SITE, &bakery, (origin, direction))
        })
    };
    let found = trace_once(Direction::Forwards).context("a trace")?;
    let lots: Vec<String> = found.lots.iter().map(|lot| lot.id.clone()).collect();
    let loads: Vec<String> =
        found.steps.iter().filter_map(|step| step.id().map(str::to_owned)).collect();
    // The rows that the answer stands on: those of its lots, and those of its loads.
    let read = || {
        state.store.read(|tx| -> Result<_, Refusal> {
            let mut all = rows::of_lots(tx, SITE, &lots)?;
            all.extend(rows::of_loads(tx, SITE, &loads)?);
            Ok(all)
        })
    };
    let count = read().context("a read")?.len();
    let traced = fastest(|| Ok(trace_once(Direction::Forwards)?))?;
    let read = fastest(|| Ok(read()?))?;
    let mut out = std::io::stdout();
    let (lots, steps, sent) = (found.lots.len(), found.steps.len(), found.recipients.len());
    writeln!(out, "{lots} lots, {steps} steps, {sent} recipients, standing on {count} rows")?;
    writeln!(out, "trace forwards: {} us", traced.as_micros())?;
    writeln!(out, "one indexed read of those rows: {} us", read.as_micros())?;
    let hundredths = traced.as_micros() * 100 / read.as_micros().max(1);
    writeln!(out, "ratio: {}.{:02}", hundredths / 100, hundredths % 100)?;
    Ok(())
}

fn main() -> Result<()> {
    let folder = std::env::temp_dir().join(format!("weighhouse-trace-{}", std::process::id()));
    fs::create_dir_all(&folder)?;
    let now = demo::NOW.parse()?;
    let state = State::open(&Config::embedded(&folder), Clock::Fixed(now))?;
    let text = serde_json::to_vec(&document("bakery")?)?;
    let body: BakeryBody = decode(&text).map_err(|_| anyhow::anyhow!("the demo bakery"))?;
    load::bakery(&state, &body).map_err(|_| anyhow::anyhow!("the demo bakery is refused"))?;
    let mut filling = Filling { state, lots: Vec::new(), movements: Vec::new(), written: 0 };
    let started = Instant::now();
    let origin = fill(&mut filling)?;
    let seconds = started.elapsed().as_secs();
    writeln!(std::io::stdout(), "{} movements written in {seconds} s", filling.written)?;
    let outcome = measure(&filling.state, &origin);
    drop(filling);
    fs::remove_dir_all(&folder)?;
    outcome
}
