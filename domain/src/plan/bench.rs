//! What hands divide and shape on a work date: dough by dough, heaviest piece first.

use super::{Batch, Plan, Run, Spot, TimedStep};
use crate::{
    bakery::{Bakery, CompiledMakeUp, Driver},
    equipment::PlaceKind,
    ratio::Ratio,
};
use jiff::{Timestamp, civil::Date};
use std::{
    cmp::Reverse,
    collections::{BTreeMap, BTreeSet},
};

/// Where pieces go after the bench.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Onward {
    /// The step's name.
    pub step: String,
    /// When it starts.
    pub start: Timestamp,
    /// Position of the place, if it has one.
    pub place: Option<u32>,
}

/// One product of a dough at the bench.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BenchLine {
    /// Position of the product.
    pub product: u32,
    /// What one piece weighs raw, in micrograms; none if it is not weighed.
    pub piece: Option<Ratio>,
    /// Start pieces.
    pub pieces: i64,
    /// The same load by load; empty if there is one load, or nobody knows.
    pub per_load: Vec<i64>,
    /// Whole trays of this product alone.
    pub trays: Option<i64>,
    /// Where they go; none if no time is on file.
    pub onward: Option<Onward>,
}

/// One dough at the bench at one time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BenchBlock {
    /// When it starts; none if no time is on file.
    pub start: Option<Timestamp>,
    /// When the last of it is done.
    pub end: Option<Timestamp>,
    /// Position of the item that is divided.
    pub dough: u32,
    /// For which service date.
    pub service_date: Date,
    /// Loads of the dough.
    pub loads: i64,
    /// Its products, heaviest piece first.
    pub lines: Vec<BenchLine>,
}

/// Dough for a service date, its mix, when it comes to the bench, and when it leaves it.
type BlockKey = (Option<Timestamp>, Date, u32, u32, Option<Timestamp>);

/// Projects a plan to what is divided and shaped on a local date.
///
/// What has no time stands on the sheet of the date on which its dough is made.
#[must_use]
pub fn bench(bakery: &Bakery, plan: &Plan, work_date: Date) -> Vec<BenchBlock> {
    let zone = &bakery.site().time_zone;
    let on = |at: Timestamp| zone.to_datetime(at).date() == work_date;
    let mut blocks: BTreeMap<BlockKey, Vec<BenchLine>> = BTreeMap::new();
    let mut timed = BTreeSet::new();
    for run in &plan.runs {
        let Some(dough) = dough_of(bakery, run.service_date, run.product) else { continue };
        let Some(at) = bench_step(bakery, run) else { continue };
        timed.insert((run.service_date, run.product));
        let step = run.steps[at];
        if on(step.start) {
            let key = (Some(step.start), run.service_date, dough, run.mix, Some(step.end));
            let line = run_line(bakery, run, run.steps.get(at + 1));
            merge(blocks.entry(key).or_default(), line);
        }
    }
    for line in &plan.demand.pieces {
        if line.start == 0 || timed.contains(&(line.service_date, line.product)) {
            continue;
        }
        let Some(dough) = dough_of(bakery, line.service_date, line.product) else { continue };
        let made_at = plan.batch(line.service_date, dough).and_then(|batch| batch.made_at);
        if made_at.is_some_and(on) {
            blocks.entry((None, line.service_date, dough, 1, None)).or_default().push(BenchLine {
                product: line.product,
                piece: piece(bakery, line.service_date, line.product),
                pieces: line.start,
                per_load: Vec::new(),
                trays: line.trays,
                onward: None,
            });
        }
    }
    let mut found: Vec<BenchBlock> =
        blocks.into_iter().map(|(key, lines)| block(plan, key, lines)).collect();
    // What has no time comes last: somebody has to look for its place in the day.
    found.sort_by_key(|block| (block.start.is_none(), block.start, block.service_date));
    found
}

fn block(plan: &Plan, key: BlockKey, mut lines: Vec<BenchLine>) -> BenchBlock {
    let (start, service_date, dough, mix, end) = key;
    let batch = plan.mixes(service_date, dough).find(|batch| batch.mix == mix);
    for line in &mut lines {
        line.per_load = batch.map_or_else(Vec::new, |batch| per_load(batch, line));
    }
    // Stable: pieces of one weight stay in listed order.
    lines.sort_by_key(|line| Reverse(line.piece));
    let loads = batch.map_or(0, |batch| batch.split.loads);
    BenchBlock { start, end, dough, service_date, loads, lines }
}

/// The same product for several drops, divided at one time, is one line.
fn merge(lines: &mut Vec<BenchLine>, line: BenchLine) {
    match lines.iter_mut().find(|held| held.product == line.product && held.onward == line.onward) {
        Some(held) => {
            held.pieces += line.pieces;
            held.trays = held.trays.zip(line.trays).map(|(held, more)| held + more);
        }
        None => lines.push(line),
    }
}

/// Pieces load by load, if these are all pieces of the product.
fn per_load(batch: &Batch, line: &BenchLine) -> Vec<i64> {
    let of = |pieces: &[(u32, i64)]| {
        let found = pieces.iter().find(|(product, _)| *product == line.product);
        found.map_or(0, |&(_, pieces)| pieces)
    };
    let loads: Vec<i64> = batch.pieces_per_load.iter().map(|load| of(&load.pieces)).collect();
    if loads.iter().sum::<i64>() == line.pieces { loads } else { Vec::new() }
}

fn run_line(bakery: &Bakery, run: &Run, next: Option<&TimedStep>) -> BenchLine {
    let steps = &bakery.lists().routes[run.route as usize].steps;
    let onward = next.map(|next| Onward {
        step: steps.get(next.step as usize).map_or_else(String::new, |step| step.name.clone()),
        start: next.start,
        place: match next.spot {
            Some(Spot::Place(place)) => Some(place),
            Some(Spot::Mixer(_) | Spot::Oven(_)) | None => None,
        },
    });
    BenchLine {
        product: run.product,
        piece: piece(bakery, run.service_date, run.product),
        pieces: run.pieces,
        per_load: Vec::new(),
        trays: run.trays,
        onward,
    }
}

/// The first step of a run at a bench; by its name, if no step says where it is.
fn bench_step(bakery: &Bakery, run: &Run) -> Option<usize> {
    let places = &bakery.lists().places;
    let at_bench = |step: &TimedStep| {
        matches!(step.spot, Some(Spot::Place(place))
            if places[place as usize].kind == PlaceKind::Bench)
    };
    let steps = &bakery.lists().routes[run.route as usize].steps;
    let divides = |step: &TimedStep| {
        let name = steps.get(step.step as usize).map_or("", |step| step.name.as_str());
        name.starts_with("divide") || name.starts_with("shape")
    };
    let named = || run.steps.iter().position(divides);
    run.steps.iter().position(at_bench).or_else(named)
}

/// The dough that a product's pieces are cut from: mixed, or folded in blocks.
fn dough_of(bakery: &Bakery, date: Date, product: u32) -> Option<u32> {
    dough_line(bakery, date, product).map(|(dough, _)| dough)
}

/// What one piece weighs raw, in micrograms.
fn piece(bakery: &Bakery, date: Date, product: u32) -> Option<Ratio> {
    dough_line(bakery, date, product).map(|(_, ug)| ug)
}

fn dough_line(bakery: &Bakery, date: Date, product: u32) -> Option<(u32, Ratio)> {
    let recipes = bakery.recipes(date);
    recipes.make_up_of(product).iter().find_map(|line| match *line {
        CompiledMakeUp::Mass { item, ug, .. } => {
            let recipe = &recipes.recipes[recipes.of_item(item)?];
            let folded = matches!(recipe.driver, Driver::Blocks { .. });
            let dough = recipes.dough_of(product) == Some(item) || folded;
            dough.then_some((item, ug))
        }
        _ => None,
    })
}
