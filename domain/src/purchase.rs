//! Buying: when a supplier delivers, until when to order, how many whole packs.

mod arrivals;

pub use arrivals::{Arrival, arrivals};

use crate::{
    bakery::Site,
    calendar::OutOfCalendar,
    quantity::{MICRO, Unit},
    ratio::{Overflow, Ratio},
    supplier::Supplier,
};
use jiff::{SignedDuration, Timestamp};

/// The last moment to order an item for the step that runs short.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LatestMoment {
    /// The cutoff.
    pub cutoff: Timestamp,
    /// When they come: the end of the delivery window.
    pub arrives: Timestamp,
    /// When goods ordered by then count as usable.
    pub usable_from: Timestamp,
    /// Whether it has passed.
    pub gone: bool,
    /// Whether it passed less than half an hour ago: ring them.
    pub ring_now: bool,
}

/// Open days from today up to the day before it runs out.
#[must_use]
pub fn days_of_cover(site: &Site, now: Timestamp, runs_out: Timestamp) -> i64 {
    let mut day = site.time_zone.to_datetime(now).date();
    let last = site.time_zone.to_datetime(runs_out).date();
    let mut days = 0;
    while day < last {
        if site.open_weekdays.contains(&day.weekday()) && !site.closed_dates.contains(&day) {
            days += 1;
        }
        let Ok(next) = day.tomorrow() else { break };
        day = next;
    }
    days
}

/// The last cutoff whose goods are usable by the start of a step.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn latest_moment(
    site: &Site,
    supplier: &Supplier,
    ready_after_minutes: i64,
    now: Timestamp,
    step: Timestamp,
) -> Result<Option<LatestMoment>, OutOfCalendar> {
    let ready = SignedDuration::from_mins(ready_after_minutes);
    let mut latest = None;
    for arrival in arrivals(site, supplier, now, step)? {
        let Ok(usable_from) = arrival.arrives.checked_add(ready) else { continue };
        if usable_from <= step && !arrival.ask_supplier {
            let since = now.duration_since(arrival.cutoff);
            latest = Some(LatestMoment {
                cutoff: arrival.cutoff,
                arrives: arrival.arrives,
                usable_from,
                // A cutoff exactly now is open.
                gone: since > SignedDuration::ZERO,
                ring_now: since > SignedDuration::ZERO && since < SignedDuration::from_mins(30),
            });
        }
    }
    Ok(latest)
}

/// Whole packs for an amount, rounded up; both in millionths of the base unit.
///
/// # Errors
/// [`Overflow`]
pub fn whole_packs(wanted_micro: i64, holds: Ratio) -> Result<i64, Overflow> {
    let packs = Ratio::whole(wanted_micro.max(0).into()).over(holds)?.ceil();
    i64::try_from(packs).map_err(|_| Overflow)
}

/// A shortage as printed: up to 0.01 kg (or L), whole pieces as they are.
///
/// Millionths of the base unit in and out.
#[must_use]
pub const fn printed_micro(short_micro: i64, unit: Unit) -> i64 {
    match unit {
        Unit::Each => short_micro,
        Unit::Gram | Unit::Millilitre => {
            let step = 10 * MICRO;
            (short_micro + step - 1) / step * step
        }
    }
}

#[cfg(test)]
mod tests;
