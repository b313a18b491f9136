//! Pieces on their way: from the dough to the drop, over benches, cabinets and ovens.

use super::{Bake, Clock, DropLine, Run, Spot, TimedStep, levers, mixer_step, stations::Floor};
use crate::{
    bakery::Bakery,
    calendar::OutOfCalendar,
    equipment::PlaceKind,
    formula::Made,
    plan::{Finding, NeedUser, Plan, PlanError},
    route::{Route, Station},
    schedule::{Pin, ScheduleError, StepTime, Work, instant, length, minute},
    spans::Spans,
    timetable::{self, Hold, Task},
};
use jiff::{Timestamp, civil::Date};
use std::{cmp::Reverse, sync::Arc};

/// Goods may stand ready for so many minutes because an oven was only free before:
/// common practice is to bake for a drop within half a shift.
const READY_BEFORE_MOST: i64 = 240;

/// Pieces whose times are being settled.
struct Journey<'a> {
    line: DropLine,
    part: u32,
    route: &'a Route,
    work: Work,
    trays: Option<i64>,
    /// Settled moments; the first is the drop.
    pins: Vec<Pin>,
    /// The first step that is not the dough's.
    own_from: usize,
    bakes: Vec<Bake>,
}

pub(super) fn fill(
    clock: &Clock<'_>,
    plan: &mut Plan,
    floor: &mut Floor<'_>,
    now: Timestamp,
) -> Result<(), PlanError> {
    let mut journeys = Vec::new();
    for at in 0..plan.drops.len() {
        begin(clock, plan, plan.drops[at], now, &mut journeys)?;
    }
    for at in 0..plan.finishing.len() {
        let line = plan.finishing[at];
        let Some(route) = clock.finish_of(line.product) else { continue };
        let pins = vec![Pin::drop(route, line.at)];
        depart(clock, plan, (line, route), (1, pins, 0), now, &mut journeys)?;
    }
    let counted = journeys.iter().any(|journey| journey.is_counted(clock.bakery));
    if counted && !floor.is_open() {
        floor.open(std::iter::empty());
    }
    if counted {
        place_all(clock, plan, floor, &mut journeys)?;
    }
    for journey in journeys {
        let run = journey.finish(clock)?;
        plan.runs.extend(run);
    }
    plan.runs
        .sort_by_key(|run| (run.service_date, run.drop, run.product, run.is_finishing(), run.part));
    Ok(())
}

/// Starts the journeys of one drop: several if no oven takes all of it at once.
fn begin<'a>(
    clock: &Clock<'a>,
    plan: &mut Plan,
    line: DropLine,
    now: Timestamp,
    journeys: &mut Vec<Journey<'a>>,
) -> Result<(), PlanError> {
    let Some(route) = clock.route_of(line.product) else { return Ok(()) };
    let mut pins = vec![Pin::drop(route, line.at)];
    let mut own_from = mixer_step(route).map_or(0, |mixer| mixer + 1);
    let (loads, taken) = taken(clock.bakery, plan, line, route);
    if let Some((step, at)) = taken {
        pins.push(Pin::at(step, minute(at)));
        own_from = own_from.max(step + 1);
    }
    depart(clock, plan, (line, route), (loads, pins, own_from), now, journeys)
}

/// Starts the journeys of some pieces on a route of which some moments are settled.
fn depart<'a>(
    clock: &Clock<'a>,
    plan: &mut Plan,
    (line, route): (DropLine, &'a Route),
    (loads, pins, own_from): (i64, Vec<Pin>, usize),
    now: Timestamp,
    journeys: &mut Vec<Journey<'a>>,
) -> Result<(), PlanError> {
    let tray = clock.bakery.product(line.product).tray.as_ref();
    for (part, pieces) in (1..).zip(parts(clock.bakery, route, line)) {
        let work = Work { loads, pieces };
        let trays = tray.map(|tray| tray.holding(pieces));
        let (pins, bakes) = (pins.clone(), Vec::new());
        match clock.times(route, work, &pins) {
            Ok(_) => {
                let journey = Journey { line, part, route, work, trays, pins, own_from, bakes };
                journeys.push(journey);
            }
            Err(error) => {
                let of = (NeedUser::Product(line.product), line.service_date);
                let finding = clock.no_time(of, (route, work), line.at, now, error)?;
                plan.findings.push(finding);
                break;
            }
        }
    }
    Ok(())
}

/// Loads of the dough that pieces are divided from, and the step at which it is made.
fn taken(
    bakery: &Bakery,
    plan: &Plan,
    line: DropLine,
    route: &Route,
) -> (i64, Option<(usize, Timestamp)>) {
    let recipes = bakery.recipes(line.service_date);
    let Some(dough) = recipes.dough_of(line.product) else { return (1, None) };
    let mut mixes = plan.mixes(line.service_date, dough);
    let Some(batch) = mixes.find(|batch| batch.mix == line.mix) else { return (1, None) };
    let step = match &bakery.formula_of(&recipes.recipes[batch.recipe as usize]).made {
        Made::Products { step } | Made::Step { step, .. } => {
            route.steps.iter().position(|found| found.name == *step)
        }
        Made::At { .. } => mixer_step(route),
    };
    (batch.all_loads(), step.zip(batch.made_at))
}

/// Pieces of each part: whole trays, in as few oven fillings as possible, evenly.
fn parts(bakery: &Bakery, route: &Route, line: DropLine) -> Vec<i64> {
    let product = bakery.product(line.product);
    let in_oven = route.steps.iter().any(|step| step.station == Some(Station::Oven));
    let oven = product.baking.as_ref().and_then(|baking| oven_of(bakery, baking.oven.as_str()));
    let (Some((_, oven)), Some(tray), true) = (oven, &product.tray, in_oven) else {
        return vec![line.pieces];
    };
    let (per_tray, trays) = (tray.pieces.max(1), tray.holding(line.pieces));
    let room = oven.trays.max(1).saturating_mul(oven.decks.max(1));
    let count = ((trays + room - 1) / room).max(1);
    let mut left = line.pieces;
    let part = |part: i64| {
        let trays = trays / count + i64::from(part < trays % count);
        let pieces = left.min(trays.saturating_mul(per_tray));
        left -= pieces;
        pieces
    };
    (0..count).map(part).filter(|pieces| *pieces > 0).collect()
}

fn oven_of<'a>(bakery: &'a Bakery, code: &str) -> Option<(u32, &'a crate::equipment::Oven)> {
    let position = bakery.index().oven(code)?;
    Some((position, &bakery.lists().ovens[position as usize]))
}

/// Places all journeys, from the back: what is nearest to its drop settles the rest.
///
/// Of what is wanted at the same time the cooler goes first, so that the hotter is baked
/// before it: heat falls.
fn place_all(
    clock: &Clock<'_>,
    plan: &mut Plan,
    floor: &mut Floor<'_>,
    journeys: &mut [Journey<'_>],
) -> Result<(), PlanError> {
    let mut order = Vec::with_capacity(journeys.len());
    for (at, journey) in journeys.iter().enumerate() {
        let heat = clock.bakery.product(journey.line.product).baking.as_ref();
        let heat = heat.map(|baking| baking.top);
        order.push((Reverse(journey.line.at), heat, journey.line.product, journey.part, at));
    }
    order.sort_unstable();
    let order: Vec<usize> = order.into_iter().map(|key| key.4).collect();
    let stretches = journeys.iter().map(|journey| journey.stretches().len()).max().unwrap_or(0);
    for back in 0..stretches {
        let mut wishes: Vec<(usize, Wish)> = Vec::with_capacity(order.len());
        for &at in &order {
            let stretch = journeys[at].stretches().iter().rev().nth(back).copied();
            if let Some(stretch) = stretch
                && let Some(wish) = journeys[at].wish(clock, floor, stretch)?
            {
                wishes.push((at, wish));
            }
        }
        // What cannot move goes before what can.
        wishes.sort_by_key(|(_, wish)| wish.run.allowed.single().is_none());
        for (at, wish) in wishes {
            journeys[at].place(clock, plan, floor, wish)?;
        }
    }
    Ok(())
}

/// One stretch of a journey that wants a place.
struct Wish {
    stretch: (usize, usize),
    run: timetable::Run,
}

impl Journey<'_> {
    /// Whether it occupies anything that is counted.
    fn is_counted(&self, bakery: &Bakery) -> bool {
        self.route.steps[self.own_from..].iter().any(|step| match &step.station {
            Some(Station::Oven) => true,
            Some(Station::Place(code)) => {
                let position = bakery.index().place(code.as_str());
                position.is_some_and(|at| bakery.lists().places[at as usize].slots.is_some())
            }
            Some(Station::Mixer) | None => false,
        })
    }

    /// Steps that follow each other at fixed minutes, from a first to behind a last.
    ///
    /// A window that starts the pieces' own steps follows on an empty stretch.
    fn stretches(&self) -> Vec<(usize, usize)> {
        let fixed = |step: usize| {
            let (least, most) = length(&self.route.steps[step].length, self.work);
            least == most
        };
        let mut all = Vec::new();
        let mut from = self.own_from;
        for step in self.own_from..self.route.steps.len() {
            if !fixed(step) {
                all.push((from, step));
                from = step + 1;
            }
        }
        all.push((from, self.route.steps.len()));
        all
    }

    /// What a stretch wants; one that occupies nothing is settled at once.
    fn wish(
        &mut self,
        clock: &Clock<'_>,
        floor: &Floor<'_>,
        stretch: (usize, usize),
    ) -> Result<Option<Wish>, PlanError> {
        let Some(times) = self.times(clock)? else { return Ok(None) };
        let moment = |at: usize| match times.get(at) {
            Some(time) => minute(time.start),
            None => self.pins[0].last,
        };
        let preferred = moment(stretch.0);
        let tasks = self.tasks(clock.bakery, floor, stretch);
        let hold = self.hold(clock.bakery, floor, stretch, moment(stretch.1 + 1));
        if tasks.is_empty() && hold.is_none() {
            self.settle(stretch, preferred);
            return Ok(None);
        }
        let allowed = self.allowed(clock, stretch, preferred)?;
        Ok(Some(Wish { stretch, run: timetable::Run { tasks, hold, allowed, preferred } }))
    }

    /// Settles the start of one stretch; everything behind it is settled.
    fn place(
        &mut self,
        clock: &Clock<'_>,
        plan: &mut Plan,
        floor: &mut Floor<'_>,
        Wish { stretch: (from, to), run }: Wish,
    ) -> Result<(), PlanError> {
        match floor.place(&run) {
            Ok(placed) => {
                for (task, units) in run.tasks.iter().zip(&placed.units) {
                    self.baked(clock.bakery, floor, (placed.start, task), units)?;
                }
                self.settle((from, to), placed.start);
            }
            Err(clash) => {
                let steps = &self.route.steps[from..to];
                let unstaffed = |start: i64| levers::unstaffed(clock, steps, self.work, start);
                let levers = levers::earlier_or_later(&run, clash, Some(&unstaffed))?;
                plan.findings.extend(floor.spot(clash.station).map(|spot| Finding::Clash {
                    of: NeedUser::Product(self.line.product),
                    service_date: self.line.service_date,
                    spot,
                    minutes: clash.minutes,
                    levers,
                }));
                self.settle((from, to), run.preferred);
            }
        }
        Ok(())
    }

    /// The latest times of all steps with what is settled.
    fn times(&self, clock: &Clock<'_>) -> Result<Option<Arc<[StepTime]>>, OutOfCalendar> {
        match clock.times(self.route, self.work, &self.pins) {
            Ok(times) => Ok(Some(times)),
            Err(ScheduleError::OutOfCalendar(error)) => Err(error),
            Err(_) => Ok(None),
        }
    }

    /// The minutes at which a stretch may start.
    fn allowed(
        &self,
        clock: &Clock<'_>,
        (from, to): (usize, usize),
        preferred: i64,
    ) -> Result<Spans, OutOfCalendar> {
        let mut pins = self.pins.clone();
        if to == self.route.steps.len() {
            // Only the last stretch may be ready before the drop.
            pins[0].first -= READY_BEFORE_MOST;
        }
        match clock.starts(self.route, self.work, from, &pins) {
            Ok(starts) => Ok(starts),
            Err(ScheduleError::OutOfCalendar(error)) => Err(error),
            Err(_) => Ok(Spans::minute(preferred)),
        }
    }

    fn settle(&mut self, (from, to): (usize, usize), start: i64) {
        if to == self.route.steps.len() {
            let minutes =
                self.route.steps[from..].iter().map(|step| length(&step.length, self.work).0);
            self.pins[0] = Pin::at(to, start + minutes.sum::<i64>());
        }
        self.pins.push(Pin::at(from, start));
    }

    /// What a stretch occupies, step by step.
    fn tasks(&self, bakery: &Bakery, floor: &Floor<'_>, (from, to): (usize, usize)) -> Vec<Task> {
        let (mut offset, mut tasks) = (0, Vec::new());
        for step in from..to {
            let (minutes, _) = length(&self.route.steps[step].length, self.work);
            let spot = spot(bakery, self.line.product, self.route, step);
            if let Some((spot, station)) = spot.and_then(|spot| Some((spot, floor.station(spot)?)))
            {
                let (mut offset, mut minutes, mut setup) = (offset, minutes, 0);
                let amount = match spot {
                    Spot::Oven(oven) => {
                        let oven = &bakery.lists().ovens[oven as usize];
                        let baking = bakery.product(self.line.product).baking.as_ref();
                        setup = baking.map_or(0, |baking| floor.program(baking));
                        offset -= oven.loading_minutes;
                        minutes += oven.loading_minutes;
                        // Who says no trays gets the deck alone.
                        self.trays.unwrap_or_else(|| oven.trays.max(1))
                    }
                    Spot::Place(place) => self.slots(bakery, place, step),
                    Spot::Mixer(_) => 0,
                };
                if amount > 0 && minutes > 0 {
                    tasks.push(Task { station, offset, minutes, amount, setup });
                }
            }
            offset += minutes;
        }
        tasks
    }

    /// What a stretch leaves in a cabinet until the next one starts.
    fn hold(
        &self,
        bakery: &Bakery,
        floor: &Floor<'_>,
        (from, to): (usize, usize),
        until: i64,
    ) -> Option<Hold> {
        self.route.steps.get(to)?;
        let found = spot(bakery, self.line.product, self.route, to)?;
        let (station, Spot::Place(place)) = (floor.station(found)?, found) else { return None };
        let steps = self.route.steps[from..to].iter();
        let offset = steps.map(|step| length(&step.length, self.work).0).sum();
        let amount = self.slots(bakery, place, to);
        Some(Hold { station, offset, until, amount })
    }

    /// Slots of a place: one pair of hands at a bench, a tub of dough, or each tray its own.
    fn slots(&self, bakery: &Bakery, place: u32, step: usize) -> i64 {
        let kind = |place: u32| bakery.lists().places[place as usize].kind;
        let at_bench = |step: usize| {
            let found = spot(bakery, self.line.product, self.route, step);
            matches!(found, Some(Spot::Place(place)) if kind(place) == PlaceKind::Bench)
        };
        let shaped = (0..step).any(at_bench) || !(step..self.route.steps.len()).any(at_bench);
        if kind(place) == PlaceKind::Bench || !shaped { 1 } else { self.trays.unwrap_or(1) }
    }

    /// Notes the decks that a task filled.
    fn baked(
        &mut self,
        bakery: &Bakery,
        floor: &Floor<'_>,
        (start, task): (i64, &Task),
        units: &[(usize, i64)],
    ) -> Result<(), OutOfCalendar> {
        let Some(Spot::Oven(oven)) = floor.spot(task.station) else { return Ok(()) };
        let loading = bakery.lists().ovens[oven as usize].loading_minutes;
        let per_tray = bakery.product(self.line.product).tray.as_ref().map(|tray| tray.pieces);
        let (from, to) = (start + task.offset + loading, start + task.offset + task.minutes);
        let mut left = self.work.pieces;
        for &(unit, amount) in units {
            let (pieces, trays) = match per_tray {
                Some(per_tray) => (left.min(amount.saturating_mul(per_tray)), amount),
                None => (left, 0),
            };
            left -= pieces;
            let deck = u32::try_from(unit + 1).unwrap_or(u32::MAX);
            let (start, end) = (instant(from)?, instant(to)?);
            self.bakes.push(Bake { oven, deck, pieces, trays, start, end });
        }
        Ok(())
    }

    /// All times, once everything is settled.
    fn finish(self, clock: &Clock<'_>) -> Result<Option<Run>, OutOfCalendar> {
        let Some(times) = self.times(clock)? else { return Ok(None) };
        let product = self.line.product;
        let steps = timed(clock.bakery, (product, self.line.service_date), self.route, &times);
        let ready = times.last().map_or(self.line.at, |time| time.end);
        let route = clock.bakery.index().route(self.route.code.as_str()).unwrap_or(0);
        Ok(Some(Run {
            product,
            service_date: self.line.service_date,
            drop: self.line.at,
            route,
            mix: self.line.mix,
            part: self.part,
            pieces: self.work.pieces,
            trays: self.trays,
            steps,
            bakes: self.bakes,
            waits_minutes: minute(self.line.at) - minute(ready),
        }))
    }
}

/// What a step of a product's route occupies, mixers apart.
fn spot(bakery: &Bakery, product: u32, route: &Route, step: usize) -> Option<Spot> {
    match route.steps[step].station.as_ref()? {
        Station::Mixer => None,
        Station::Oven => {
            let baking = bakery.product(product).baking.as_ref()?;
            bakery.index().oven(baking.oven.as_str()).map(Spot::Oven)
        }
        Station::Place(code) => bakery.index().place(code.as_str()).map(Spot::Place),
    }
}

/// Steps with what they occupy.
pub(super) fn timed(
    bakery: &Bakery,
    (product, service_date): (u32, Date),
    route: &Route,
    times: &[StepTime],
) -> Vec<TimedStep> {
    let steps = times.iter().map(|time| {
        let spot = match route.steps[time.step].station {
            Some(Station::Mixer) => mixer_of(bakery, product, service_date),
            _ => spot(bakery, product, route, time.step),
        };
        let step = u32::try_from(time.step).unwrap_or(u32::MAX);
        TimedStep { step, start: time.start, end: time.end, spot }
    });
    steps.collect()
}

/// The mixer of a product's dough.
fn mixer_of(bakery: &Bakery, product: u32, service_date: Date) -> Option<Spot> {
    let recipes = bakery.recipes(service_date);
    let dough = recipes.dough_of(product)?;
    let recipe = &recipes.recipes[recipes.of_item(dough)?];
    recipe.mixer.map(|(mixer, _)| Spot::Mixer(mixer))
}
