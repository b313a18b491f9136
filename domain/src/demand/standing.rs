//! Standing orders as the orders of dates, where no posted order settles their drop.

use crate::{
    bakery::Bakery,
    calendar::{OutOfCalendar, add_days, instant_at},
    id::Code,
    order::{OrderLine, Wanted},
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use std::collections::BTreeSet;

/// One delivery or collection of one customer.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Slot {
    /// Whose.
    pub customer: Code,
    /// For which local date.
    pub service_date: Date,
    /// At which local time.
    pub drop: Time,
}

/// What stands for some dates.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Standing {
    /// Their order lines.
    pub lines: Vec<OrderLine>,
    /// Dates on which some customer's standing order may still be changed, in order.
    pub open_dates: Vec<Date>,
}

/// The standing orders of service dates, both ends in; none on days without sale.
///
/// A slot that a posted order settles asks for nothing here.
///
/// # Errors
/// [`OutOfCalendar`]
///
/// # Source
/// trade.md 2.2 and 2.10; nasty case 9.
pub fn standing(
    bakery: &Bakery,
    settled: &BTreeSet<Slot>,
    (first, last): (Date, Date),
    now: Timestamp,
) -> Result<Standing, OutOfCalendar> {
    let mut found = Standing::default();
    if bakery.lists().standing_orders.is_empty() {
        return Ok(found);
    }
    let mut date = first;
    while date <= last {
        let open = day(bakery, settled, date, now, &mut found.lines)?;
        found.open_dates.extend(open.then_some(date));
        date = add_days(date, 1)?;
    }
    Ok(found)
}

/// Adds the lines of one date; says whether any of them may still be changed.
fn day(
    bakery: &Bakery,
    settled: &BTreeSet<Slot>,
    date: Date,
    now: Timestamp,
    lines: &mut Vec<OrderLine>,
) -> Result<bool, OutOfCalendar> {
    let mut open = false;
    if !bakery.site().sells_on(date) {
        return Ok(open);
    }
    for order in &bakery.lists().standing_orders {
        let wanted = order.pattern.lines_on(date);
        let customer = &order.customer;
        let slot = Slot { customer: customer.clone(), service_date: date, drop: order.drop };
        if wanted.is_empty() || settled.contains(&slot) {
            continue;
        }
        lines.extend(wanted.iter().map(|line| OrderLine {
            customer: customer.clone(),
            service_date: date,
            product: line.product.clone(),
            pieces: line.pieces,
            drop: Some(order.drop),
            taken_at: None,
            wanted: Wanted::Ordered,
        }));
        let position = bakery.index().customer(customer.as_str());
        let cutoff = position.and_then(|at| bakery.lists().customers[at as usize].cutoff);
        let closes = cutoff.map(|at| instant_at(&bakery.site().time_zone, date, at)).transpose()?;
        open |= closes.is_none_or(|closes| closes >= now);
    }
    Ok(open)
}
