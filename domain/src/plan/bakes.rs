//! What the oven hand does on a work date: filling after filling, then what came out.

use super::{Plan, Run, Spot};
use crate::{
    bakery::Bakery,
    calendar::{OutOfCalendar, add_minutes},
    demand::PieceLine,
    temperature::Celsius,
};
use jiff::{Timestamp, civil::Date};
use std::collections::{BTreeMap, BTreeSet};

/// One filling of an oven with one product.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Filling {
    /// Position of the oven; none if no deck is planned for it.
    pub oven: Option<u32>,
    /// Which deck, from 1.
    pub deck: Option<u32>,
    /// When it goes in; none if no time is on file.
    pub start: Option<Timestamp>,
    /// When it comes out.
    pub end: Option<Timestamp>,
    /// Position of the product.
    pub product: u32,
    /// For which service date.
    pub service_date: Date,
    /// Start pieces in it.
    pub pieces: i64,
    /// Trays or boards of this product alone.
    pub trays: Option<i64>,
    /// Until when it cools before it is packed; none if nobody said how long.
    pub cool_until: Option<Timestamp>,
    /// When the pieces leave or are fetched.
    pub drop: Option<Timestamp>,
    /// The last rise before the oven.
    pub prove: Option<Prove>,
    /// Whether they are par-baked and only finished.
    pub par_baked: bool,
}

/// A rise before the oven: as long as it takes at one temperature only.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Prove {
    /// The step's name.
    pub step: String,
    /// When it starts.
    pub start: Timestamp,
    /// How long it takes, in minutes.
    pub minutes: i64,
    /// At which temperature that holds: of its cabinet, else of the room; none if neither
    /// is on file.
    pub temperature: Option<Celsius>,
}

/// What must come out of the ovens of one product for one service date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CountBack {
    /// Position of the product.
    pub product: u32,
    /// For which service date.
    pub service_date: Date,
    /// Start pieces that are baked on the date.
    pub pieces: i64,
    /// All start pieces of the product for the service date.
    pub start: i64,
    /// Good pieces that must come out of all of them.
    pub net: i64,
    /// Whether it stands here only by its service date: no time is on file.
    pub untimed: bool,
}

/// What is baked on one local date.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Bakes {
    /// By oven, deck and time; those without an oven last.
    pub fillings: Vec<Filling>,
    /// By product, as listed.
    pub counts: Vec<CountBack>,
}

/// Projects a plan to what is baked on a local date.
///
/// A product without a time stands on the sheet of its service date, its times blank.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn bakes(bakery: &Bakery, plan: &Plan, work_date: Date) -> Result<Bakes, OutOfCalendar> {
    let mut fillings = fillings(bakery, plan, work_date)?;
    let mut pieces: BTreeMap<(Date, u32), i64> = BTreeMap::new();
    for filling in fillings.iter().filter(|filling| !filling.par_baked) {
        *pieces.entry((filling.service_date, filling.product)).or_default() += filling.pieces;
    }
    let timed: BTreeSet<(Date, u32)> =
        own_runs(plan).map(|run| (run.service_date, run.product)).collect();
    let mut counts = finishes(&fillings);
    for line in &plan.demand.pieces {
        let key = (line.service_date, line.product);
        let untimed = !timed.contains(&key) && line.service_date == work_date && line.start > 0;
        let baked = pieces.get(&key).copied().or(untimed.then_some(line.start));
        if untimed {
            fillings.push(blank(bakery, line));
        }
        counts.extend(baked.map(|pieces| count(line, pieces, untimed)));
    }
    // What has no time comes after what has one, and what has no oven after all ovens.
    fillings.sort_by_key(|filling| {
        let oven = filling.oven.unwrap_or(u32::MAX);
        let time = (filling.start.is_none(), filling.start, filling.deck);
        (oven, time, filling.service_date, filling.product, filling.drop)
    });
    counts.sort_by_key(|count| (count.untimed, count.service_date, count.product));
    Ok(Bakes { fillings, counts })
}

/// Runs of pieces that are made new.
fn own_runs(plan: &Plan) -> impl Iterator<Item = &Run> {
    plan.runs.iter().filter(|run| !run.is_finishing())
}

/// What must come out of par-baked pieces: every one of them.
fn finishes(fillings: &[Filling]) -> Vec<CountBack> {
    let mut pieces: BTreeMap<(Date, u32), i64> = BTreeMap::new();
    for filling in fillings.iter().filter(|filling| filling.par_baked) {
        *pieces.entry((filling.service_date, filling.product)).or_default() += filling.pieces;
    }
    let count = |((service_date, product), pieces)| CountBack {
        product,
        service_date,
        pieces,
        start: pieces,
        net: pieces,
        untimed: false,
    };
    pieces.into_iter().map(count).collect()
}

/// A product of which nobody knows when it is baked.
fn blank(bakery: &Bakery, line: &PieceLine) -> Filling {
    let baking = bakery.product(line.product).baking.as_ref();
    let ovens = &bakery.lists().ovens;
    let oven =
        baking.and_then(|baking| (0_u32..).zip(ovens).find(|(_, oven)| oven.code == baking.oven));
    Filling {
        oven: oven.map(|(at, _)| at),
        deck: None,
        start: None,
        end: None,
        product: line.product,
        service_date: line.service_date,
        pieces: line.start,
        trays: line.trays,
        cool_until: None,
        drop: None,
        prove: None,
        par_baked: false,
    }
}

const fn count(line: &PieceLine, pieces: i64, untimed: bool) -> CountBack {
    CountBack {
        product: line.product,
        service_date: line.service_date,
        pieces,
        start: line.start,
        net: line.net,
        untimed,
    }
}

/// How warm it is where a step runs.
fn warmth(bakery: &Bakery, spot: Option<Spot>) -> Option<Celsius> {
    match spot {
        Some(Spot::Place(place)) => bakery.lists().places[place as usize].temperature,
        _ => bakery.site().temperatures.map(|usual| usual.room),
    }
}

fn fillings(bakery: &Bakery, plan: &Plan, work_date: Date) -> Result<Vec<Filling>, OutOfCalendar> {
    let zone = &bakery.site().time_zone;
    let on = |at: Timestamp| zone.to_datetime(at).date() == work_date;
    let mut fillings = Vec::new();
    for run in &plan.runs {
        let cool = bakery.product(run.product).baking.as_ref().map(|baking| baking.cool_minutes);
        let steps = &bakery.lists().routes[run.route as usize].steps;
        let name = |step: u32| steps.get(step as usize).map_or("", |step| step.name.as_str());
        let oven_step = run
            .steps
            .iter()
            .position(|step| matches!(step.spot, Some(Spot::Oven(_))) || name(step.step) == "bake");
        let prove = oven_step.and_then(|at| {
            let before = run.steps[..at].iter().rev();
            before.into_iter().find(|step| name(step.step).starts_with("pro")).map(|step| Prove {
                step: name(step.step).to_owned(),
                start: step.start,
                minutes: (step.end.as_second() - step.start.as_second()) / 60,
                temperature: warmth(bakery, step.spot),
            })
        });
        let whole = Filling {
            oven: None,
            deck: None,
            start: None,
            end: None,
            product: run.product,
            service_date: run.service_date,
            pieces: run.pieces,
            trays: run.trays,
            cool_until: None,
            drop: Some(run.drop),
            prove,
            par_baked: run.is_finishing(),
        };
        let cooled = |end| cool.map(|minutes| add_minutes(end, minutes)).transpose();
        for bake in run.bakes.iter().filter(|bake| on(bake.start)) {
            fillings.push(Filling {
                oven: Some(bake.oven),
                deck: Some(bake.deck),
                start: Some(bake.start),
                end: Some(bake.end),
                pieces: bake.pieces,
                trays: whole.trays.map(|_| bake.trays),
                cool_until: cooled(bake.end)?,
                ..whole.clone()
            });
        }
        // A route with an oven step and no deck: its time stands, the deck is blank.
        if run.bakes.is_empty()
            && let Some(step) = oven_step.map(|at| &run.steps[at]).filter(|step| on(step.start))
        {
            let (start, end) = (Some(step.start), Some(step.end));
            fillings.push(Filling { start, end, cool_until: cooled(step.end)?, ..whole });
        }
    }
    Ok(fillings)
}
