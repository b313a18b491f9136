//! What would be made if nothing made were in the house.

use super::{Plan, PlanError, batches, batches::Given, made_stock::MadeStock, times};
use crate::{
    bakery::Bakery,
    book::Book,
    demand::{Demand, Placed, PlacedLine},
};
use jiff::{Timestamp, civil::Date};

/// Batches with their times, and pieces with theirs.
pub(super) fn timed(
    bakery: &Bakery,
    book: &Book,
    demand: Demand,
    dates: &[Date],
    now: Timestamp,
) -> Result<Plan, PlanError> {
    let clock = times::Clock::new(bakery, dates)?;
    let placed = Placed::new(bakery, book, dates);
    let given = Given { bakery, book, clock: &clock };
    let mut plan = unstocked((&given, &placed.lines), demand, dates)?;
    times::fill(&clock, book, &mut plan, now)?;
    Ok(plan)
}

/// Batches without their times.
pub(super) fn unstocked(
    (given, lines): (&Given<'_>, &[PlacedLine]),
    demand: Demand,
    dates: &[Date],
) -> Result<Plan, PlanError> {
    let mut plan = Plan { dates: dates.to_vec(), demand, ..Plan::default() };
    times::drops::fill(given.bakery, lines, &mut plan)?;
    let until = dates.last().copied().unwrap_or(Date::MIN);
    batches::fill(given, &mut plan, MadeStock::none(), until)?;
    Ok(plan)
}
