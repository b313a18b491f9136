//! When a batch is made, and when each of its loads is in its mixer.

use super::{
    Clock, LoadTime, NoFit, Spot,
    levers::{self, MixerRun},
    mixer_step,
    mixes::Starts,
    stations::Floor,
};
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::{self, OutOfCalendar},
    formula::{Formula, Made},
    plan::{
        AskedBy, Batch, Finding, NeedUser, Plan, PlanError,
        held::{self, InMixer},
        overrides::ByHand,
    },
    product::At,
    route::{Length, Route},
    schedule::{Hindrance, Pin, Work, instant, length, minute},
    spans::Spans,
    timetable::{Run, Task},
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
    tz::TimeZone,
};
use std::sync::Arc;

/// When a batch may start, when it would like to, and how its loads follow each other.
struct Wish {
    allowed: Spans,
    preferred: i64,
    mixing: Option<Mixing>,
}

/// Loads in a mixer.
#[derive(Clone, Copy)]
struct Mixing {
    /// From the start of the batch to the first load, in minutes.
    offset: i64,
    /// Of one load.
    minutes: i64,
    /// Between two loads.
    between: i64,
}

pub(super) fn fill(
    (clock, book): (&Clock<'_>, &Book),
    plan: &mut Plan,
    floor: &mut Floor<'_>,
    now: Timestamp,
) -> Result<(), PlanError> {
    let mut wishes: Vec<(usize, Wish)> = Vec::new();
    for at in 0..plan.batches.len() {
        if plan.batches[at].feed {
            continue;
        }
        if let Some(starts) = held::starts_at(&plan.batches[at], book) {
            Arc::make_mut(&mut plan.batches[at]).made_at = Some(starts);
            continue;
        }
        let batch = Arc::make_mut(&mut plan.batches[at]);
        batch.made_at =
            ByHand::of(book, batch.service_date, &clock.bakery.item(batch.item).code).time;
        let Some(wish) = wish(clock, plan, at, now)? else { continue };
        let batch = Arc::make_mut(&mut plan.batches[at]);
        batch.made_at = Some(instant(wish.preferred)?);
        batch.latest_start = wish.allowed.latest().map(instant).transpose()?;
        if wish.mixing.is_some() && batch.mixer.is_some() && batch.split.loads > 0 {
            wishes.push((at, wish));
        }
    }
    let fixed = held::in_mixers(clock.bakery, book, plan);
    if !wishes.is_empty() || !fixed.is_empty() {
        let wished = wishes.iter().map(|(at, _)| &plan.batches[*at]);
        let wished = wished.map(|batch| (batch.service_date, batch.item));
        floor.open(wished.chain(fixed.iter().map(|load| (load.service_date, load.item))));
    }
    // What is released does not move: it takes its place before anything else.
    for load in &fixed {
        place_held(plan, floor, load);
    }
    // What cannot move goes first, then in order of time, free of an allergen before with it.
    wishes.sort_by_cached_key(|(at, wish)| {
        let batch = &plan.batches[*at];
        let kinds = floor.group(batch.service_date, batch.item).1;
        (wish.allowed.single().is_none(), wish.preferred, kinds, *at)
    });
    for (at, wish) in &wishes {
        place(clock, plan, floor, (*at, wish))?;
    }
    Ok(())
}

/// Puts a held load into its mixer at the time at which it was released.
fn place_held(plan: &mut Plan, floor: &mut Floor<'_>, load: &InMixer) {
    let Some(station) = floor.station(Spot::Mixer(load.mixer)) else { return };
    let setup = floor.group(load.service_date, load.item).0;
    let (start, end) = (minute(load.start), minute(load.end));
    let task = Task { station, offset: 0, minutes: end - start, amount: 1, setup };
    let run =
        Run { tasks: vec![task], hold: None, allowed: Spans::minute(start), preferred: start };
    if let Err(clash) = floor.place(&run) {
        plan.findings.push(Finding::Clash {
            of: NeedUser::Formula(load.item),
            service_date: load.service_date,
            spot: Spot::Mixer(load.mixer),
            minutes: clash.minutes,
            levers: Vec::new(),
        });
    }
}

/// Puts the draft loads of one batch into its mixer, after those that are held.
fn place(
    clock: &Clock<'_>,
    plan: &mut Plan,
    floor: &mut Floor<'_>,
    (at, wish): (usize, &Wish),
) -> Result<(), PlanError> {
    let batch = &plan.batches[at];
    let (Some(mixing), Some(mixer)) = (wish.mixing, batch.mixer) else { return Ok(()) };
    let Some(station) = floor.station(Spot::Mixer(mixer)) else { return Ok(()) };
    let setup = floor.group(batch.service_date, batch.item).0;
    let held = batch.all_loads() - batch.split.loads;
    let task = |load: i64| Task {
        station,
        offset: mixing.offset + (held + load) * (mixing.minutes + mixing.between),
        minutes: mixing.minutes,
        amount: 1,
        setup,
    };
    let tasks = (0..batch.split.loads).map(task).collect();
    let (allowed, preferred) = (wish.allowed.clone(), wish.preferred);
    let run = Run { tasks, hold: None, allowed, preferred };
    match floor.place(&run) {
        Ok(placed) => {
            let mut load_times = Vec::with_capacity(run.tasks.len());
            for (load, task) in batch.numbers.iter().zip(&run.tasks) {
                let start = placed.start + task.offset;
                let (start, end) = (instant(start)?, instant(start + task.minutes)?);
                load_times.push(LoadTime { load: *load, mixer, start, end });
            }
            let batch = Arc::make_mut(&mut plan.batches[at]);
            batch.made_at = Some(instant(placed.start)?);
            batch.load_times = load_times;
        }
        Err(clash) => {
            let asked = MixerRun { batch, mixer, run: &run, clash };
            let levers = levers::of_mixer(clock, plan, floor, &asked)?;
            plan.findings.push(Finding::Clash {
                of: NeedUser::Formula(plan.batches[at].item),
                service_date: plan.batches[at].service_date,
                spot: Spot::Mixer(mixer),
                minutes: clash.minutes,
                levers,
            });
        }
    }
    Ok(())
}

/// What a batch wants; none, with a finding, if no time fits.
///
/// A time that a person or a released load has settled is wanted and nothing else.
fn wish(
    clock: &Clock<'_>,
    plan: &mut Plan,
    at: usize,
    now: Timestamp,
) -> Result<Option<Wish>, OutOfCalendar> {
    let Some(settled) = plan.batches[at].made_at.map(minute) else {
        return searched(clock, plan, at, now);
    };
    // What it would like by itself says how its loads follow each other, and no more.
    let findings = plan.findings.len();
    let mixing = searched(clock, plan, at, now)?.and_then(|wish| wish.mixing);
    plan.findings.truncate(findings);
    Ok(Some(Wish { allowed: Spans::minute(settled), preferred: settled, mixing }))
}

/// What a batch wants by the way its formula is made.
fn searched(
    clock: &Clock<'_>,
    plan: &mut Plan,
    at: usize,
    now: Timestamp,
) -> Result<Option<Wish>, OutOfCalendar> {
    let batch = &plan.batches[at];
    let recipes = clock.bakery.recipes(batch.service_date);
    let formula = clock.bakery.formula_of(&recipes.recipes[batch.recipe as usize]);
    let zone = &clock.bakery.site().time_zone;
    match &formula.made {
        Made::At { at: made, until } => {
            let (first, last) = by_the_clock(zone, batch.service_date, (*made, *until))?;
            let mixing = own_mixing(formula);
            let allowed = Spans::between(first, last);
            Ok(Some(Wish { allowed, preferred: first, mixing }))
        }
        Made::Step { route, step, drop } => {
            let Some(route) = clock.route(route.as_str()) else { return Ok(None) };
            let drop = calendar::instant(zone, batch.service_date, *drop)?;
            by_step(clock, plan, at, (route, step, drop, formula), now)
        }
        Made::Products { step } => by_products(clock, plan, at, (step, formula), now),
    }
}

/// First and last minute at which something is made that is made at a stated time.
fn by_the_clock(
    zone: &TimeZone,
    service_date: Date,
    (made, until): (At, Option<Time>),
) -> Result<(i64, i64), OutOfCalendar> {
    let first = minute(calendar::instant_at(zone, service_date, made)?);
    let last = match until {
        Some(time) => minute(calendar::instant_at(zone, service_date, At { time, ..made })?),
        None => first,
    };
    Ok((first, last.max(first)))
}

/// What a batch that is made anew takes over of its times, or what they are if it wants no
/// place in a timetable; none if its place would have to be looked for among all others.
pub(in crate::plan) fn kept_times(
    bakery: &Bakery,
    was: Option<&Batch>,
    batch: &mut Batch,
) -> Result<Option<()>, OutOfCalendar> {
    let recipes = bakery.recipes(batch.service_date);
    let formula = bakery.formula_of(&recipes.recipes[batch.recipe as usize]);
    let Made::At { at, until } = &formula.made else { return Ok(None) };
    let places = |batch: &Batch| batch.mixer.is_some() && batch.split.loads > 0;
    let placed = places(batch) || was.is_some_and(places);
    if own_mixing(formula).is_some() && placed {
        let same = |was: &&Batch| (was.mixer, &was.numbers) == (batch.mixer, &batch.numbers);
        let Some(was) = was.filter(same) else { return Ok(None) };
        (batch.made_at, batch.latest_start) = (was.made_at, was.latest_start);
        batch.load_times.clone_from(&was.load_times);
        return Ok(Some(()));
    }
    let zone = &bakery.site().time_zone;
    let (first, last) = by_the_clock(zone, batch.service_date, (*at, *until))?;
    (batch.made_at, batch.latest_start) = (Some(instant(first)?), Some(instant(last)?));
    Ok(Some(()))
}

/// Made at a step of one route that ends at one drop.
fn by_step(
    clock: &Clock<'_>,
    plan: &mut Plan,
    at: usize,
    (route, step, drop, formula): (&Route, &str, Timestamp, &Formula),
    now: Timestamp,
) -> Result<Option<Wish>, OutOfCalendar> {
    let batch = &plan.batches[at];
    let work = Work { loads: batch.all_loads(), pieces: pieces_of(plan, batch) };
    let Some(position) = route.steps.iter().position(|found| found.name == *step) else {
        return Ok(None);
    };
    let pin = Pin::drop(route, drop);
    match clock.times(route, work, &[pin]) {
        Ok(times) => {
            let preferred = minute(times[position].start);
            let mixing = mixing_on(route, position, formula, work);
            // Only what shares a mixer ever has to start earlier than it would like.
            let allowed = match mixing {
                Some(_) => clock
                    .starts(route, work, position, &[pin])
                    .unwrap_or_else(|_| Spans::minute(preferred)),
                None => Spans::minute(preferred),
            };
            Ok(Some(Wish { allowed, preferred, mixing }))
        }
        Err(error) => {
            let of = (NeedUser::Formula(batch.item), batch.service_date);
            let finding = clock.no_time(of, (route, work), drop, now, error)?;
            plan.findings.push(finding);
            Ok(None)
        }
    }
}

/// Made when the routes of all products on it allow.
fn by_products(
    clock: &Clock<'_>,
    plan: &mut Plan,
    at: usize,
    (step, formula): (&str, &Formula),
    now: Timestamp,
) -> Result<Option<Wish>, OutOfCalendar> {
    let batch = &plan.batches[at];
    let drops = plan.drops_on(clock.bakery, batch.service_date, batch.item);
    let drops: Vec<_> = drops.filter(|drop| drop.mix == batch.mix).copied().collect();
    let loads = batch.all_loads();
    let (of, service_date) = (NeedUser::Formula(batch.item), batch.service_date);
    let starts = Starts::new(clock, &drops, step, loads)?;
    let together = starts.together();
    if let Some(allowed) = together.filter(|together| !together.is_empty())
        && let Some(preferred) = allowed.latest()
    {
        let first = drops.iter().zip(&starts.of).find(|(_, set)| set.is_some());
        let mixing = first.and_then(|(drop, _)| {
            let route = clock.route_of(drop.product)?;
            let position = route.steps.iter().position(|found| found.name == *step)?;
            mixing_on(route, position, formula, Work { loads, pieces: drop.pieces })
        });
        return Ok(Some(Wish { allowed, preferred, mixing }));
    }
    let route = drops.first().and_then(|drop| Some((drop, clock.route_of(drop.product)?)));
    let finding = match (route, starts.misfit) {
        (Some((drop, route)), Some(error)) => {
            let work = Work { loads, pieces: drop.pieces };
            clock.no_time((of, service_date), (route, work), drop.at, now, error)?
        }
        _ => Finding::NoTime {
            of,
            service_date,
            drop: None,
            no_fit: NoFit {
                step: step.to_owned(),
                minutes: None,
                by: Hindrance::AgeWindow,
                earliest: None,
            },
        },
    };
    plan.findings.push(finding);
    Ok(None)
}

/// Start pieces of all products that ask for a batch.
fn pieces_of(plan: &Plan, batch: &Batch) -> i64 {
    let products = batch.asked.iter().filter_map(|ask| match ask.by {
        AskedBy::Product(product) => Some(plan.start_of(batch.service_date, product)),
        AskedBy::Formula(_) => None,
    });
    products.sum()
}

/// How loads follow each other by the formula alone.
fn own_mixing(formula: &Formula) -> Option<Mixing> {
    let mixing = formula.mixing.as_ref().filter(|mixing| mixing.minutes() > 0)?;
    Some(Mixing { offset: 0, minutes: mixing.minutes(), between: mixing.between_minutes })
}

/// How loads follow each other on a route, counted from the start of one of its steps.
fn mixing_on(route: &Route, from: usize, formula: &Formula, work: Work) -> Option<Mixing> {
    let mixer = mixer_step(route).filter(|&mixer| mixer >= from)?;
    let before = route.steps[from..mixer].iter().map(|step| length(&step.length, work));
    let mut offset = 0;
    for (least, most) in before {
        if least != most {
            return None;
        }
        offset += least;
    }
    let (minutes, between) = match route.steps[mixer].length {
        Length::PerLoad { minutes, between_minutes } => (minutes, between_minutes),
        _ => {
            let mixing = own_mixing(formula)?;
            (mixing.minutes, mixing.between)
        }
    };
    (minutes > 0).then_some(Mixing { offset, minutes, between })
}
