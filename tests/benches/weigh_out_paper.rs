//! The weigh-out of the demo day as a file for a printer, beside the same as JSON; and what
//! a day of three hundred loads takes of memory.
//!
//! `cargo bench -p weighhouse-tests --bench weigh_out_paper` prints ratios of one run; nothing
//! is asserted, for a busy machine must not fail a build. "Anew" is what somebody waits for
//! after a change: reading, planning, the sheet. "Kept" is the sheet alone, off a plan that
//! is kept between requests.

use anyhow::{Context, Result, anyhow, ensure};
use jiff::civil::Date;
use serde_json::json;
use std::{
    env, fs,
    hint::black_box,
    process,
    time::{Duration, Instant},
};
use weighhouse::{
    clock::Clock,
    config::Config,
    messages::{Language, Words},
    pieces::Pieces,
    service::plan::{self, Horizon},
    sheets::{in_pieces, weigh_out::draw},
    state::State,
    wire::weigh_out::{WeighOutView, weigh_out},
};
use weighhouse_tests::{
    demo,
    figures::{print, row},
    server::Server,
};

/// Runs of each measurement; the fastest counts, as the one least disturbed.
const RUNS: u32 = 12;
/// Loads of the large day.
const LOADS: usize = 300;
const SIZE: paper::Size = paper::Size::A4;

#[derive(Clone, Copy)]
enum Made {
    Json,
    Paper(Words),
}

/// The bytes of a sheet.
fn bytes(view: &WeighOutView, made: Made) -> Result<Pieces> {
    match made {
        Made::Json => Ok(serde_json::to_vec(view)?.into()),
        Made::Paper(words) => paper_of(&draw(words, view).into_string()),
    }
}

fn paper_of(page: &str) -> Result<Pieces> {
    in_pieces(page, SIZE).map_err(|problem| anyhow!("{problem:?}"))
}

/// The demo day on a server that takes changes, and the same data beside it.
struct Day {
    server: Server,
    state: State,
    date: Date,
    changes: u32,
}

impl Day {
    fn open() -> Result<Self> {
        let folder = env::temp_dir().join(format!("weighhouse-paper-{}", process::id()));
        let now = demo::NOW.parse()?;
        let server = Server::start_in(folder.clone(), now)?;
        demo::fill(&server, &demo::document("bakery")?)?;
        let state = State::open(&Config::embedded(folder), Clock::Fixed(now))?;
        Ok(Self { server, state, date: "2026-06-11".parse()?, changes: 0 })
    }

    /// A small order, so that the plan must be made anew.
    fn change(&mut self) -> Result<()> {
        self.changes += 1;
        let order = json!({
            "order_ref": format!("paper-{}", self.changes),
            "version": 1,
            "customer": "counter",
            "service_date": "2026-06-12",
            "drop": "07:00",
            "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": 1}],
        });
        self.server.client().post_order(&order)?.success()?;
        Ok(())
    }

    fn view(&self) -> Result<WeighOutView> {
        let morning = plan::load(&self.state, Horizon::WorkDate(self.date))
            .map_err(|refusal| anyhow!("{refusal:?}"))?;
        weigh_out(&morning, self.date).map_err(|error| anyhow!("{error:?}"))
    }

    /// The sheet and how long it took: anew after a change, or off the kept plan.
    fn measured(&mut self, made: Made, anew: bool) -> Result<Duration> {
        let mut best = Duration::MAX;
        for _ in 0..RUNS {
            if anew {
                self.change()?;
            }
            let start = Instant::now();
            black_box(bytes(&self.view()?, made)?);
            best = best.min(start.elapsed());
        }
        Ok(best)
    }
}

/// Kilobytes of this process, by a name of the kernel: `VmRSS` now, `VmHWM` at most. It is what
/// the allocator holds, room of earlier runs too; live bytes are counted in a test of `paper`.
///
/// # Source
/// Linux, proc_pid_status(5).
fn kilobytes(name: &str) -> Result<usize> {
    let status = fs::read_to_string("/proc/self/status")?;
    let line = status.lines().find_map(|line| line.strip_prefix(name));
    let words = line.with_context(|| format!("no {name}"))?;
    let digits = words.split_whitespace().nth(1);
    digits.and_then(|digits| digits.parse().ok()).context("a number of kilobytes")
}

/// The view with the pages of its loads again and again.
fn large(view: &WeighOutView) -> WeighOutView {
    let mut large = view.clone();
    let mut pages: Vec<_> = view.blocks.iter().map(|block| (block, &block.pages)).collect();
    pages.retain(|(_, pages)| !pages.is_empty());
    large.blocks.clear();
    let mut loads = 0;
    for (block, of) in pages.iter().cycle() {
        if loads >= LOADS {
            break;
        }
        let mut block = (*block).clone();
        block.pages = of.iter().take(LOADS - loads).cloned().collect();
        loads += block.pages.len();
        large.blocks.push(block);
    }
    large
}

fn memory(view: &WeighOutView) -> Result<()> {
    let view = large(view);
    // Fonts are read and the style sheet is parsed once: not what a file costs.
    black_box(bytes(&view, Made::Paper(Words::ENGLISH))?);
    for made in [Made::Json, Made::Paper(Words::ENGLISH)] {
        // 5 sets the peak back to what is used now.
        fs::write("/proc/self/clear_refs", "5")?;
        let before = kilobytes("VmRSS")?;
        let start = Instant::now();
        let file = bytes(&view, made)?;
        let (took, after) = (start.elapsed(), kilobytes("VmHWM")?);
        let (size, grown) = (file.length() / 1024, after.saturating_sub(before));
        let tenths = grown * 10 / size.max(1);
        let name = if matches!(made, Made::Json) { "JSON" } else { "PDF" };
        print(&format!(
            "{LOADS} loads as {name}: {size} kB in {} ms; resident {before} kB, at most {grown} kB \
             more, {}.{} x its size",
            took.as_millis(),
            tenths / 10,
            tenths % 10
        ));
    }
    Ok(())
}

fn main() -> Result<()> {
    let mut day = Day::open()?;
    let english = Made::Paper(Words::ENGLISH);
    let german = Made::Paper(Words { language: Language::German });
    black_box(bytes(&day.view()?, english)?);
    for (when, anew) in [("anew", true), ("kept plan", false)] {
        let json = day.measured(Made::Json, anew)?;
        row(&format!("JSON, {when}"), json, json);
        row(&format!("PDF, {when}"), day.measured(english, anew)?, json);
        row(&format!("PDF in German, {when}"), day.measured(german, anew)?, json);
    }
    let view = day.view()?;
    let page = draw(Words::ENGLISH, &view).into_string();
    ensure!(page.contains("<main"), "a page");
    let start = Instant::now();
    black_box(draw(Words::ENGLISH, &view).into_string());
    let drawn = start.elapsed();
    let start = Instant::now();
    black_box(paper_of(&page)?);
    row("of it HTML", drawn, drawn);
    row("of it HTML on paper", start.elapsed(), drawn);
    memory(&view)
}
