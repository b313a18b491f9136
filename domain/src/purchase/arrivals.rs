//! When a supplier delivers, and until when each delivery can be ordered.

use crate::{
    bakery::Site,
    calendar::{OutOfCalendar, add_days, instant},
    supplier::{HolidayRule, Supplier},
};
use jiff::{Timestamp, civil::Date};

/// Days looked at around a period: a table row repeats each week, holidays may pile up.
const AROUND_DAYS: i64 = 21;

/// One delivery that can be ordered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Arrival {
    /// Last moment to order it.
    pub cutoff: Timestamp,
    /// When its goods count: the end of the delivery window.
    pub arrives: Timestamp,
    /// Whether nothing is agreed for such a day: ask, and do not count on it.
    pub ask_supplier: bool,
    /// The day of its table row, if a holiday or a closed day moved it.
    pub moved_from: Option<Date>,
}

/// Deliveries whose cutoff or arrival lies around a period, by cutoff then arrival.
///
/// A cutoff on the supplier's holiday is its last earlier cutoff. A delivery on its
/// holiday, or on a date on which we do not receive, follows its written rule.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn arrivals(
    site: &Site,
    supplier: &Supplier,
    from: Timestamp,
    to: Timestamp,
) -> Result<Vec<Arrival>, OutOfCalendar> {
    let zone = &supplier.time_zone;
    let mut day = add_days(zone.to_datetime(from).date(), -AROUND_DAYS)?;
    let last = add_days(zone.to_datetime(to.max(from)).date(), AROUND_DAYS)?;
    let works = |date: Date| {
        !supplier.holidays.contains(&date)
            && (supplier.working_days.is_empty() || supplier.working_days.contains(&date.weekday()))
    };
    let mut cutoffs = Vec::new();
    let mut rows = Vec::new();
    while day <= last {
        for row in supplier.deliveries.iter().filter(|row| row.order_day == day.weekday()) {
            let cutoff = instant(zone, day, row.cutoff)?;
            if works(day) {
                cutoffs.push(cutoff);
            }
            rows.push((day, cutoff, row));
        }
        day = add_days(day, 1)?;
    }
    cutoffs.sort_unstable();
    let mut found = Vec::new();
    for (ordered_on, cutoff, row) in rows {
        let cutoff = if works(ordered_on) {
            cutoff
        } else {
            let earlier = cutoffs.partition_point(|&open| open < cutoff);
            match earlier.checked_sub(1) {
                Some(at) => cutoffs[at],
                None => continue,
            }
        };
        let days = i64::from(ordered_on.weekday().until(row.delivery_day));
        let planned = add_days(ordered_on, if days == 0 { 7 } else { days })?;
        let open =
            |date: Date| !supplier.holidays.contains(&date) && !site.closed_dates.contains(&date);
        let moved_to = |date: Date| works(date) && open(date);
        let rule = supplier.delivery_on_holiday;
        let Some((date, ask_supplier)) =
            (if open(planned) { Some((planned, false)) } else { moved(planned, rule, &moved_to)? })
        else {
            continue;
        };
        let arrives = instant(&site.time_zone, date, row.window_to)?;
        if arrives > cutoff {
            let moved_from = Some(planned).filter(|&planned| planned != date || ask_supplier);
            found.push(Arrival { cutoff, arrives, ask_supplier, moved_from });
        }
    }
    found.sort_unstable();
    // Two rows may come to one delivery: it says so if one of them was moved there.
    found.dedup_by(|later, kept| {
        let same = (later.cutoff, later.arrives, later.ask_supplier)
            == (kept.cutoff, kept.arrives, kept.ask_supplier);
        if same {
            kept.moved_from = kept.moved_from.or(later.moved_from);
        }
        same
    });
    Ok(found)
}

/// The day a delivery is moved to, and whether that has to be asked.
fn moved(
    planned: Date,
    rule: HolidayRule,
    delivers: &dyn Fn(Date) -> bool,
) -> Result<Option<(Date, bool)>, OutOfCalendar> {
    let step = match rule {
        HolidayRule::Skip => return Ok(None),
        HolidayRule::Ask => return Ok(Some((planned, true))),
        HolidayRule::Earlier => -1,
        HolidayRule::Later => 1,
    };
    let mut date = planned;
    for _ in 0..AROUND_DAYS {
        date = add_days(date, step)?;
        if delivers(date) {
            return Ok(Some((date, false)));
        }
    }
    Ok(None)
}
