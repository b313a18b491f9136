//! When a product would have to be made for a drop that is asked about.

use super::{Clock, OFFER_DAYS, TimedStep, days_of, hours, runs};
use crate::{
    bakery::Bakery,
    calendar::{OutOfCalendar, add_days},
    plan::Plan,
    route::Route,
    schedule::{Hindrance, Pin, ScheduleError, Work, earliest_drop},
};
use jiff::{Timestamp, civil::Date};

/// Why something has no time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoFit {
    /// The step that never fitted.
    pub step: String,
    /// Fewest minutes by which it would have to move; none if nobody is ever there.
    pub minutes: Option<i64>,
    /// What keeps it out.
    pub by: Hindrance,
    /// The earliest drop that works from now on, if there is one in two weeks.
    pub earliest: Option<Timestamp>,
}

/// The times of a product for one drop, by its own route alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trial {
    /// Position of the route.
    pub route: u32,
    /// Loads of its dough as planned; one if nothing is planned.
    pub loads: i64,
    /// Start pieces as planned; one if nothing is planned.
    pub pieces: i64,
    /// All steps; none if they do not fit.
    pub steps: Vec<TimedStep>,
    /// Why they do not fit.
    pub no_fit: Option<NoFit>,
}

/// Schedules a product back from any drop; none if it has no route.
///
/// Nothing is placed: other products and stations are left out.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn trial(
    bakery: &Bakery,
    plan: &Plan,
    (product, service_date): (u32, Date),
    drop: Timestamp,
    now: Timestamp,
) -> Result<Option<Trial>, OutOfCalendar> {
    let zone = &bakery.site().time_zone;
    let clock = Clock::new(bakery, &[zone.to_datetime(drop).date()])?;
    let Some(route) = clock.route_of(product) else { return Ok(None) };
    let line = plan
        .drops
        .iter()
        .find(|line| (line.service_date, line.product, line.at) == (service_date, product, drop));
    let mix = line.map_or(1, |line| line.mix);
    let recipes = bakery.recipes(service_date);
    let mut mixes =
        recipes.dough_of(product).into_iter().flat_map(|dough| plan.mixes(service_date, dough));
    let loads = mixes.find(|batch| batch.mix == mix).map_or(1, super::super::Batch::all_loads);
    let pieces = match line {
        Some(line) => line.pieces,
        None => plan.start_of(service_date, product).max(1),
    };
    let work = Work { loads, pieces };
    let position = bakery.index().route(route.code.as_str()).unwrap_or(0);
    let mut found = Trial { route: position, loads, pieces, steps: Vec::new(), no_fit: None };
    let pin = Pin::drop(route, drop);
    match clock.times(route, work, &[pin]) {
        Ok(times) => {
            found.steps = runs::timed(bakery, (product, service_date), route, &times);
        }
        Err(error) => {
            found.no_fit = Some(no_fit(bakery, (route, work), service_date, drop, now, error)?);
        }
    }
    Ok(Some(found))
}

/// What a route without times is told by.
pub(super) fn no_fit(
    bakery: &Bakery,
    (route, work): (&Route, Work),
    service_date: Date,
    drop: Timestamp,
    now: Timestamp,
    error: ScheduleError,
) -> Result<NoFit, OutOfCalendar> {
    let (step, minutes, by) = match error {
        ScheduleError::NoFit { step, minutes, by, .. } => (step, minutes, by),
        ScheduleError::TooManyChoices { .. } => (String::new(), None, Hindrance::AgeWindow),
        ScheduleError::OutOfCalendar(error) => return Err(error),
    };
    let site = bakery.site();
    let today = site.time_zone.to_datetime(now).date();
    // What starts from now on may still be weighed long before its drop.
    let first = add_days(service_date, -days_of(route))?.max(today);
    let last = add_days(service_date.max(today), OFFER_DAYS)?;
    let hours = hours(bakery, (first, last))?;
    let earliest = earliest_drop(&hours, route, work, drop, now)?;
    Ok(NoFit { step, minutes, by, earliest })
}
