//! When everything happens: loads in their mixers, pieces on their way to a drop.

pub(super) mod doughs;
pub(super) mod drops;
mod levers;
pub(super) mod mixes;
mod runs;
mod stations;
mod trial;

pub use drops::DropLine;
pub use levers::ClashLever;
pub use trial::{NoFit, Trial, trial};

use super::{Finding, NeedUser, Plan, PlanError};
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::{OutOfCalendar, add_days},
    formula::Made,
    id::Code,
    route::{Route, Station},
    schedule::{
        Days, Hours, Pin, Question, ScheduleError, StepTime, Work, length, schedule_with, starts,
    },
    spans::Spans,
};
use jiff::{Timestamp, civil::Date};
use std::sync::Arc;

/// What a step occupies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Spot {
    /// A mixer, by position.
    Mixer(u32),
    /// An oven, by position.
    Oven(u32),
    /// A place, by position.
    Place(u32),
}

impl Spot {
    /// Its code and what people call it.
    #[must_use]
    pub fn called(self, bakery: &Bakery) -> (&Code, &str) {
        let lists = bakery.lists();
        match self {
            Self::Mixer(at) => (&lists.mixers[at as usize].code, &lists.mixers[at as usize].name),
            Self::Oven(at) => (&lists.ovens[at as usize].code, &lists.ovens[at as usize].name),
            Self::Place(at) => (&lists.places[at as usize].code, &lists.places[at as usize].name),
        }
    }
}

/// One step of a route with its times.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TimedStep {
    /// Its position in the route.
    pub step: u32,
    /// When it starts.
    pub start: Timestamp,
    /// When it ends.
    pub end: Timestamp,
    /// What it occupies, if the route says so.
    pub spot: Option<Spot>,
}

/// One load in its mixer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LoadTime {
    /// The number of the load among those of its dough and date.
    pub load: i64,
    /// Position of the mixer.
    pub mixer: u32,
    /// When the mixer starts.
    pub start: Timestamp,
    /// When it stops.
    pub end: Timestamp,
}

impl Run {
    /// Whether its pieces are in stock, baked in part, and only finished.
    #[must_use]
    pub const fn is_finishing(&self) -> bool {
        self.mix == 0
    }
}

/// One filling of an oven deck with one product.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bake {
    /// Position of the oven.
    pub oven: u32,
    /// The deck, from 1.
    pub deck: u32,
    /// Pieces on it.
    pub pieces: i64,
    /// Trays or boards of this product on it.
    pub trays: i64,
    /// When the goods go in.
    pub start: Timestamp,
    /// When they come out.
    pub end: Timestamp,
}

/// Pieces of one product on their way to one drop.
///
/// What an oven cannot take at once goes in several runs, one after the other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Run {
    /// Position of the product.
    pub product: u32,
    /// For which service date.
    pub service_date: Date,
    /// When they leave or are fetched.
    pub drop: Timestamp,
    /// Position of the route.
    pub route: u32,
    /// The mix of its dough that they are divided from, from 1, see [`super::Batch::mix`]; 0
    /// if they are par-baked and only finished.
    pub mix: u32,
    /// Which of the runs of this product and drop, from 1.
    pub part: u32,
    /// Start pieces.
    pub pieces: i64,
    /// Trays or boards, if the product has any.
    pub trays: Option<i64>,
    /// All steps of the route in order; those before the divide are the dough's.
    pub steps: Vec<TimedStep>,
    /// Oven fillings; none if nobody says how it is baked or no deck is free.
    pub bakes: Vec<Bake>,
    /// Minutes for which they stand ready because an oven was only free before.
    pub waits_minutes: i64,
}

/// Days in which an earliest time is looked for.
const OFFER_DAYS: i64 = 14;
/// Days before a service date in which a route may start, at most.
const ROUTE_DAYS_MAX: i64 = 62;

/// The house's hours around a plan's dates.
pub(super) struct Clock<'a> {
    bakery: &'a Bakery,
    days: Days,
    hours: Arc<Hours>,
}

impl<'a> Clock<'a> {
    /// Hours as far back as the longest route reaches; none if there is no route.
    pub(super) fn new(bakery: &'a Bakery, dates: &[Date]) -> Result<Self, OutOfCalendar> {
        let longest = bakery.lists().routes.iter().map(days_of).max();
        let (Some(longest), Some(&first), Some(&last)) = (longest, dates.first(), dates.last())
        else {
            return Ok(Self { bakery, days: (Date::MIN, Date::MIN), hours: Arc::default() });
        };
        let days = (add_days(first, -longest)?, last);
        Ok(Self { bakery, days, hours: hours(bakery, days)? })
    }

    /// The latest times of all steps of a route with some moments settled, see
    /// [`schedule_with`].
    pub(super) fn times(
        &self,
        route: &Route,
        work: Work,
        pins: &[Pin],
    ) -> Result<Arc<[StepTime]>, ScheduleError> {
        let find = || schedule_with(&self.hours, route, work, pins);
        self.bakery.memory().times(self.question(route, work, pins), find)
    }

    /// The minutes at which a step may start with some moments settled, see [`starts`].
    fn starts(
        &self,
        route: &Route,
        work: Work,
        step: usize,
        pins: &[Pin],
    ) -> Result<Spans, ScheduleError> {
        let find = || starts(&self.hours, route, work, step, pins);
        self.bakery.memory().starts((self.question(route, work, pins), step), find)
    }

    fn question(&self, route: &Route, work: Work, pins: &[Pin]) -> Question {
        let position = self.bakery.index().route(route.code.as_str()).unwrap_or(u32::MAX);
        Question::new(self.days, position, route, work, pins)
    }

    /// A product's route.
    fn route_of(&self, product: u32) -> Option<&'a Route> {
        let code = self.bakery.product(product).route.as_ref()?;
        self.route(code.as_str())
    }

    /// The route by which a product's par-baked pieces are finished.
    fn finish_of(&self, product: u32) -> Option<&'a Route> {
        let par_baked = self.bakery.product(product).par_baked.as_ref()?;
        self.route(par_baked.route.as_str())
    }

    fn route(&self, code: &str) -> Option<&'a Route> {
        let position = self.bakery.index().route(code)?;
        self.bakery.lists().routes.get(position as usize)
    }

    /// The finding for a route that has no times.
    fn no_time(
        &self,
        (of, service_date): (NeedUser, Date),
        (route, work): (&Route, Work),
        drop: Timestamp,
        now: Timestamp,
        error: ScheduleError,
    ) -> Result<Finding, OutOfCalendar> {
        let no_fit = trial::no_fit(self.bakery, (route, work), service_date, drop, now, error)?;
        Ok(Finding::NoTime { of, service_date, drop: Some(drop), no_fit })
    }
}

/// The hours of all teams on some days.
fn hours(bakery: &Bakery, days: Days) -> Result<Arc<Hours>, OutOfCalendar> {
    let site = bakery.site();
    let find = || Hours::new(&site.time_zone, &site.teams, days.0, days.1);
    bakery.memory().hours(days, find)
}

/// Days that a route takes at most.
fn days_of(route: &Route) -> i64 {
    let minutes = route.steps.iter().map(|step| length(&step.length, Work { loads: 1, pieces: 1 }));
    // Loads and pieces beyond the first fit into the day that is added.
    let minutes: i64 = minutes.map(|(_, most)| most).sum();
    (minutes / 1_440 + 2).min(ROUTE_DAYS_MAX)
}

/// Whether a product has no times without a drop, and its bakery counts on them.
fn needs_a_drop(bakery: &Bakery, service_date: Date, product: u32) -> bool {
    let recipes = bakery.recipes(service_date);
    let dough = recipes.dough_of(product).and_then(|dough| recipes.of_item(dough));
    let by_products = dough.is_some_and(|at| {
        matches!(bakery.formula_of(&recipes.recipes[at]).made, Made::Products { .. })
    });
    let route = bakery.product(product).route.as_ref();
    let route = route.and_then(|route| bakery.index().route(route.as_str()));
    let stations = route.is_some_and(|at| {
        bakery.lists().routes[at as usize].steps.iter().any(|step| step.station.is_some())
    });
    by_products || stations
}

/// Gives every batch its time, as [`fill`] does; of pieces nothing is looked for.
pub(super) fn fill_batches(
    clock: &Clock<'_>,
    book: &Book,
    plan: &mut Plan,
    now: Timestamp,
) -> Result<(), PlanError> {
    doughs::fill((clock, book), plan, &mut stations::Floor::new(clock.bakery), now)
}

/// Gives every batch its time, and pieces with a drop theirs.
pub(super) fn fill(
    clock: &Clock<'_>,
    book: &Book,
    plan: &mut Plan,
    now: Timestamp,
) -> Result<(), PlanError> {
    let mut floor = stations::Floor::new(clock.bakery);
    doughs::fill((clock, book), plan, &mut floor, now)?;
    runs::fill(clock, plan, &mut floor, now)?;
    Ok(())
}

/// Position of the step that occupies the mixer.
fn mixer_step(route: &Route) -> Option<usize> {
    route.steps.iter().position(|step| step.station == Some(Station::Mixer))
}
