//! What is begun first for a product, and the next day that begins late enough.

use super::{CheckInput, LineAnswer, ProposedLine, other_days::OtherDays};
use crate::{
    bakery::{Bakery, CompiledMakeUp},
    book::Book,
    calendar::{add_days, instant, instant_at},
    demand::demand,
    formula::{Formula, Made},
    order::{OrderLine, Wanted},
    plan::{AskedBy, Batch, Finding, Plan, PlanError, timed},
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use std::collections::BTreeSet;

/// Days that are looked at for the earliest time that works.
const DAYS_AHEAD: i64 = 60;
/// Days around a service date in which its steps lie, and more.
const CLOCK_DAYS: i64 = 65;
/// Days of these that are planned whole, if an ingredient is what is missing.
const DAYS_PLANNED: usize = 7;

/// The first thing done for a product that cannot be undone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FirstStep {
    /// When it starts.
    pub at: Timestamp,
    /// Position of the item that is made by it.
    pub item: u32,
    /// The step by its name on the route; `mix` or `make` where only a time is stated.
    pub step: String,
    /// Whether it is planned for orders that are held; if not, it would be.
    pub planned: bool,
}

/// The first step of a product for a service date: as planned, or as it would be.
///
/// It is the earliest start among its dough and all made things that go into it.
///
/// # Errors
/// [`PlanError`]
///
/// # Source
/// trade.md 2.10; readings R22.
pub fn first_step(
    bakery: &Bakery,
    base: &Plan,
    product: u32,
    service_date: Date,
    drop: Time,
) -> Result<Option<FirstStep>, PlanError> {
    if let Some(found) = earliest_start(bakery, base, product, service_date) {
        return Ok(Some(found));
    }
    first_step_alone(bakery, product, 1, service_date, drop)
}

/// The first step of some pieces of a product, as if nothing else were ordered.
///
/// # Errors
/// [`PlanError`]
pub fn first_step_alone(
    bakery: &Bakery,
    product: u32,
    pieces: i64,
    service_date: Date,
    drop: Time,
) -> Result<Option<FirstStep>, PlanError> {
    let alone = alone(bakery, product, pieces, service_date, drop)?;
    let found = earliest_start(bakery, &alone, product, service_date);
    Ok(found.map(|step| FirstStep { planned: false, ..step }))
}

/// The made things of one order line, as if it were the only one.
fn alone(
    bakery: &Bakery,
    product: u32,
    pieces: i64,
    service_date: Date,
    drop: Time,
) -> Result<Plan, PlanError> {
    let Some(customer) = bakery.lists().customers.first() else { return Ok(Plan::default()) };
    let mut dates = BTreeSet::from([service_date]);
    dates_behind(bakery, product, service_date, &mut dates)?;
    let dates: Vec<Date> = dates.into_iter().collect();
    let line = OrderLine {
        customer: customer.code.clone(),
        service_date,
        product: bakery.product(product).code.clone(),
        pieces,
        drop: Some(drop),
        taken_at: None,
        wanted: Wanted::Ordered,
    };
    let book = Book { orders: vec![line], service_dates: dates.clone(), ..Book::default() };
    // When it would be asked only matters for the time that a misfit is offered.
    let asked = instant(&bakery.site().time_zone, service_date, drop)?;
    timed(bakery, &book, demand(bakery, &book, &dates)?, &dates, asked)
}

/// All that decides whether a line alone fits a day: teams come every day at the same time.
#[derive(Debug, PartialEq, Eq)]
struct Likeness {
    /// How many days before it something is baked for it.
    baked_before: Vec<i64>,
    /// The day itself, where the clock changes in the days of a route.
    clock_change: Option<Date>,
    /// The first days of the formulas in force on the days on which something is baked.
    formulas: Vec<Date>,
}

/// What a day has in common with others on which a product fits or does not fit as well.
fn likeness(bakery: &Bakery, product: u32, day: Date) -> Result<Likeness, PlanError> {
    let mut dates = BTreeSet::from([day]);
    dates_behind(bakery, product, day, &mut dates)?;
    let first = dates.first().copied().unwrap_or(day);
    let zone = &bakery.site().time_zone;
    let from = instant(zone, add_days(first, -CLOCK_DAYS)?, Time::midnight())?;
    let to = instant(zone, add_days(day, CLOCK_DAYS)?, Time::midnight())?;
    let changes = zone.preceding(to).next().is_some_and(|change| change.timestamp() >= from);
    Ok(Likeness {
        baked_before: dates.iter().map(|date| days_between(*date, day)).collect(),
        clock_change: changes.then_some(day),
        formulas: dates.iter().map(|date| bakery.era(*date)).collect(),
    })
}

/// Whole days from one date to a later one.
fn days_between(from: Date, to: Date) -> i64 {
    to.duration_since(from).as_hours() / 24
}

/// Dates on which something is baked that goes into a product.
fn dates_behind(
    bakery: &Bakery,
    product: u32,
    date: Date,
    dates: &mut BTreeSet<Date>,
) -> Result<(), PlanError> {
    for make_up in bakery.recipes(date).make_up_of(product) {
        let &CompiledMakeUp::Product { product: taken, day_offset, .. } = make_up else { continue };
        let baked = add_days(date, day_offset.into())?;
        if bakery.site().sells_on(baked) && dates.insert(baked) {
            dates_behind(bakery, taken, baked, dates)?;
        }
    }
    Ok(())
}

fn earliest_start(bakery: &Bakery, plan: &Plan, product: u32, date: Date) -> Option<FirstStep> {
    let mut batches = Vec::new();
    behind(plan, product, date, &mut batches);
    let started = batches.iter().filter_map(|batch| batch.made_at.map(|at| (at, *batch)));
    let (_, batch) = started.min_by_key(|(at, batch)| (*at, batch.item))?;
    start_of(bakery, batch)
}

/// The start of a batch, by name.
pub(super) fn start_of(bakery: &Bakery, batch: &Batch) -> Option<FirstStep> {
    let recipe = &bakery.recipes(batch.service_date).recipes[batch.recipe as usize];
    let step = step_of(bakery.formula_of(recipe));
    Some(FirstStep { at: batch.made_at?, item: batch.item, step, planned: true })
}

fn step_of(formula: &Formula) -> String {
    match &formula.made {
        Made::Step { step, .. } | Made::Products { step } => step.clone(),
        Made::At { .. } if formula.mixer.is_some() => "mix".to_owned(),
        Made::At { .. } => "make".to_owned(),
    }
}

/// All batches behind a product: its dough, what goes into that, what it takes of others.
fn behind<'a>(plan: &'a Plan, product: u32, date: Date, found: &mut Vec<&'a Batch>) {
    let mut users = BTreeSet::from([AskedBy::Product(product)]);
    let from = plan.batches.partition_point(|batch| batch.service_date < date);
    // Users stand before what they use.
    for batch in plan.batches[from..].iter().take_while(|batch| batch.service_date == date) {
        if batch.asked.iter().any(|ask| users.contains(&ask.by)) {
            users.insert(AskedBy::Formula(batch.item));
            found.push(batch);
        }
    }
    for line in &plan.demand.pieces {
        let takes = |&(by, on, _): &(u32, Date, i64)| by == product && on == date;
        if line.taken_by.iter().any(takes) && (line.product, line.service_date) != (product, date) {
            behind(plan, line.product, line.service_date, found);
        }
    }
}

/// The same drop time on the next open day that fits cutoff, staff hours and first step.
///
/// If an ingredient is what is missing, the day must also have it, or be far enough away
/// to have it delivered.
///
/// # Source
/// readings R22.
pub(super) fn earliest(
    input: &CheckInput<'_>,
    other_days: &mut OtherDays,
    (line, answer): (&ProposedLine, &LineAnswer),
) -> Result<Option<Timestamp>, PlanError> {
    let (bakery, proposal) = (input.bakery, input.proposal);
    let site = bakery.site();
    let customer = &bakery.lists().customers[proposal.customer as usize];
    let planned = answer.bound.as_ref().is_some_and(super::Bound::is_of_stock);
    let today = site.time_zone.to_datetime(input.now).date();
    let mut day = proposal.service_date.max(today);
    let (mut plans, mut unfit_like) = (0, Vec::new());
    for _ in 0..DAYS_AHEAD {
        day = add_days(day, 1)?;
        let cutoff = customer.cutoff.map(|at| instant_at(&site.time_zone, day, at)).transpose()?;
        let of_product = bakery.product(line.product).cutoff;
        let of_product = of_product.map(|at| instant_at(&site.time_zone, day, at)).transpose()?;
        let cutoff = cutoff.into_iter().chain(of_product).min();
        if !site.sells_on(day) || cutoff.is_some_and(|cutoff| cutoff < input.now) {
            continue;
        }
        let like = likeness(bakery, line.product, day)?;
        if unfit_like.contains(&like) {
            continue;
        }
        let alone = alone(bakery, line.product, line.pieces.max(1), day, proposal.drop)?;
        let unfit = |finding: &Finding| {
            matches!(
                finding,
                Finding::NoTime { .. } | Finding::Clash { .. } | Finding::TooManyLoads { .. }
            )
        };
        if alone.findings.iter().any(unfit) {
            unfit_like.push(like);
            continue;
        }
        let start = earliest_start(bakery, &alone, line.product, day);
        if start.is_some_and(|start| start.at < input.now) {
            continue;
        }
        if planned {
            plans += 1;
            if plans > DAYS_PLANNED {
                return Ok(None);
            }
            if !other_days.fits(input, line, day)? {
                continue;
            }
        }
        return Ok(Some(instant(&site.time_zone, day, proposal.drop)?));
    }
    Ok(None)
}
