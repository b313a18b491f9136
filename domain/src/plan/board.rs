//! The day as the production lead looks at it: doughs, what holds them up, stations.

use super::{
    AskedBy, Batch, NeedUser, Plan, Spot,
    hours::{LoadHours, held_hours, load_hours},
};
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::{OutOfCalendar, add_days, instant},
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use std::collections::BTreeMap;

/// An ingredient that a dough or its pieces lack.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lacking {
    /// Position of the item.
    pub item: u32,
    /// How much no lot covers, in millionths of its base unit.
    pub unmet_micro: i64,
    /// When the first step lacks it.
    pub at: Timestamp,
}

/// One dough, cream or wash made on the date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoardLine {
    /// Position of its batch.
    pub batch: u32,
    /// When it starts; none if no time is on file.
    pub start: Option<Timestamp>,
    /// When it may start at the latest; none if nobody said.
    pub latest_start: Option<Timestamp>,
    /// Positions in the demand of the pieces that are divided from it.
    pub pieces: Vec<u32>,
    /// What it or its pieces lack.
    pub lacking: Vec<Lacking>,
}

/// What a bar of the day stands for.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum BarOf {
    /// A load of a batch, by the batch's position and the load's number.
    Load(u32, i64),
    /// A step of the pieces of products, by their positions.
    Step(String, Vec<u32>),
    /// An oven filling of a product: position, pieces.
    Filling(u32, i64),
}

/// A stretch of time that something occupies a station.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bar {
    /// Which station.
    pub spot: Spot,
    /// Which deck of an oven, from 1.
    pub deck: Option<u32>,
    /// When it begins; it may be on the day before.
    pub start: Timestamp,
    /// When it ends; it may be on a day after.
    pub end: Timestamp,
    /// What it is.
    pub of: BarOf,
}

/// One local date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Board {
    /// Its first instant.
    pub from: Timestamp,
    /// The first instant of the next date.
    pub until: Timestamp,
    /// What is made on it, by start.
    pub lines: Vec<BoardLine>,
    /// What occupies stations on it: by station, deck and time.
    pub bars: Vec<Bar>,
}

/// Projects a plan to one local date.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn board(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    work_date: Date,
) -> Result<Board, OutOfCalendar> {
    let zone = &bakery.site().time_zone;
    let from = instant(zone, work_date, Time::midnight())?;
    let until = instant(zone, add_days(work_date, 1)?, Time::midnight())?;
    let mut lines = Vec::new();
    for (position, batch) in (0_u32..).zip(&plan.batches) {
        let there = batch.all_loads() > 0 || batch.all_blocks().is_some_and(|blocks| blocks > 0);
        if there && batch.made_at.is_some_and(|at| (from..until).contains(&at)) {
            lines.push(line(bakery, plan, batch, position));
        }
    }
    lines.sort_by_key(|line| {
        let batch = &plan.batches[line.batch as usize];
        (line.start, batch.service_date, std::cmp::Reverse(line.batch))
    });
    let mut bars = bars(bakery, book, plan);
    bars.retain(|bar| bar.start < until && bar.end > from);
    bars.sort_by(|a, b| {
        let key = |bar: &Bar| (bar.spot, bar.deck, bar.start, bar.end);
        key(a).cmp(&key(b)).then_with(|| a.of.cmp(&b.of))
    });
    Ok(Board { from, until, lines, bars })
}

fn line(bakery: &Bakery, plan: &Plan, batch: &Batch, position: u32) -> BoardLine {
    let recipes = bakery.recipes(batch.service_date);
    let asks = |product| batch.asked.iter().any(|ask| ask.by == AskedBy::Product(product));
    // Base dough is asked for by what is folded of it.
    let folded = !batch.asked.iter().any(|ask| matches!(ask.by, AskedBy::Product(_)));
    let divided =
        |product| recipes.dough_of(product) == Some(batch.item) && (folded || asks(product));
    let pieces = (0_u32..).zip(&plan.demand.pieces);
    let pieces =
        pieces.filter(|(_, line)| line.service_date == batch.service_date && divided(line.product));
    BoardLine {
        batch: position,
        start: batch.made_at,
        latest_start: batch.latest_start,
        pieces: pieces.map(|(at, _)| at).collect(),
        lacking: lacking(plan, batch, &divided),
    }
}

/// Needs of a batch, and of the pieces divided from it, that no lot covers: item by item.
fn lacking(plan: &Plan, batch: &Batch, divided: &dyn Fn(u32) -> bool) -> Vec<Lacking> {
    let mut lacking: BTreeMap<u32, Lacking> = BTreeMap::new();
    for stock in &plan.stock {
        for (&position, allocation) in stock.needs.iter().zip(&stock.netting.allocations) {
            let need = &plan.needs[position as usize];
            let own = match need.user {
                NeedUser::Formula(item) => item == batch.item,
                NeedUser::Product(product) => divided(product),
            };
            if !own || need.service_date != batch.service_date || allocation.unmet_micro <= 0 {
                continue;
            }
            let found = lacking.entry(stock.item).or_insert(Lacking {
                item: stock.item,
                unmet_micro: 0,
                at: need.at,
            });
            found.unmet_micro = found.unmet_micro.saturating_add(allocation.unmet_micro);
            found.at = found.at.min(need.at);
        }
    }
    lacking.into_values().collect()
}

/// A load in its mixer, if both are known.
fn load_bar(
    mixer: Option<u32>,
    hours: Option<LoadHours>,
    (batch, number): (u32, i64),
) -> Option<Bar> {
    let hours = hours?;
    Some(Bar {
        spot: Spot::Mixer(mixer?),
        deck: None,
        start: hours.start,
        end: hours.end?,
        of: BarOf::Load(batch, number),
    })
}

fn bars(bakery: &Bakery, book: &Book, plan: &Plan) -> Vec<Bar> {
    let mut bars = Vec::new();
    for (position, batch) in (0_u32..).zip(&plan.batches) {
        for part in &batch.held {
            let held = &book.held[part.at as usize];
            let mixer = held.mixer.as_ref().and_then(|code| bakery.index().mixer(code.as_str()));
            let hours = Some(held_hours(bakery, plan, batch, held));
            bars.extend(load_bar(mixer, hours, (position, part.number)));
        }
        for &number in &batch.numbers {
            let hours = load_hours(bakery, plan, batch, number);
            bars.extend(load_bar(batch.mixer, hours, (position, number)));
        }
    }
    // Products that stand in one place for the same time are one bar.
    let mut places: BTreeMap<(Spot, Timestamp, Timestamp, String), Vec<u32>> = BTreeMap::new();
    for run in &plan.runs {
        let steps = &bakery.lists().routes[run.route as usize].steps;
        for step in &run.steps {
            let Some(spot @ Spot::Place(_)) = step.spot else { continue };
            let name = steps.get(step.step as usize).map_or_else(String::new, |s| s.name.clone());
            places.entry((spot, step.start, step.end, name)).or_default().push(run.product);
        }
        for bake in &run.bakes {
            bars.push(Bar {
                spot: Spot::Oven(bake.oven),
                deck: Some(bake.deck),
                start: bake.start,
                end: bake.end,
                of: BarOf::Filling(run.product, bake.pieces),
            });
        }
    }
    for ((spot, start, end, name), mut products) in places {
        products.sort_unstable();
        products.dedup();
        bars.push(Bar { spot, deck: None, start, end, of: BarOf::Step(name, products) });
    }
    bars
}
