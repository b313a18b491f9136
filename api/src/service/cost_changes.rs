//! What costs were on another date, for the pieces that were ordered then.

use super::{
    Refusal, book,
    plan::{self, Horizon, Morning, refused},
};
use crate::state::State;
use domain::{
    book::Book,
    calendar::add_days,
    demand::{Demand, demand},
    plan::cost::{CostChange, Setting, cost_changes},
};
use jiff::civil::Date;
use std::sync::Arc;

/// Days around a past date whose orders are read: seeds and day-old goods tie them together.
const AROUND: (i64, i64) = (-7, 14);

/// What moved, and the morning that it was asked in.
#[derive(Debug)]
pub struct CostChanges {
    /// For names and the clock.
    pub morning: Arc<Morning>,
    /// The first date.
    pub was: Date,
    /// The second.
    pub now: Date,
    /// Product by product, in the bakery's order.
    pub changes: Vec<CostChange>,
}

/// What moved between two service dates; the second is the next one that is planned if it is
/// not said.
///
/// # Errors
/// [`Refusal`]; `not-found` if nothing is made on the second date, `invalid-query` if it is not
/// after the first.
pub fn changes(
    state: &State,
    (was, now): (Date, Option<Date>),
    product: Option<&str>,
) -> Result<CostChanges, Refusal> {
    let at = state.now();
    let horizon = now.map_or(Horizon::Usual, Horizon::ServiceDate);
    let (morning, old, new) = state.store.read(|tx| -> Result<_, Refusal> {
        let morning = plan::kept(state, tx, at, horizon)?;
        let now = now.or_else(|| morning.plan.dates.first().copied());
        let now = now.ok_or_else(|| Refusal::stated("not-found", "no service date is planned"))?;
        if now <= was {
            let detail = format!("from {was} is not before to {now}: exchange them");
            return Err(Refusal::stated("invalid-query", detail));
        }
        let from = add_days(was, AROUND.0).map_err(refused)?;
        let book = Book {
            orders: book::posted(tx, &state.site, &from.to_string())?,
            service_dates: book::service_dates(tx, &state.site, from)?,
            ..Book::default()
        };
        let old = pieces(&morning, &book, was)?;
        // What is planned already has its pieces; a past date has those of its orders.
        let planned = morning.plan.dates.binary_search(&now).is_ok();
        let new = if planned { None } else { Some(pieces(&morning, &book, now)?) };
        Ok((morning, old, (now, new)))
    })?;
    let (now, new) = new;
    let setting = match &new {
        Some((dates, demand)) => Setting { dates, demand },
        None => Setting::of(&morning.plan),
    };
    let old = Setting { dates: &old.0, demand: &old.1 };
    let product = product.map(|code| morning.product(code)).transpose()?;
    let mut changes = cost_changes(&morning.bakery, (was, old), (now, setting));
    changes.retain(|change| product.is_none_or(|product| change.product == product));
    if changes.is_empty() {
        let detail = format!("nothing that was asked about is made for {now}");
        return Err(Refusal::stated("not-found", detail));
    }
    drop(new);
    Ok(CostChanges { morning, was, now, changes })
}

/// Pieces by the orders around a date; what lay in stock then is not known any more.
fn pieces(morning: &Morning, book: &Book, around: Date) -> Result<(Vec<Date>, Demand), Refusal> {
    let after = |days| add_days(around, days).map_err(refused);
    let (first, last) = (after(AROUND.0)?, after(AROUND.1)?);
    let near = |date: &&Date| (first..=last).contains(*date);
    let mut dates: Vec<Date> = book.service_dates.iter().filter(near).copied().collect();
    dates.sort_unstable();
    dates.dedup();
    let orders =
        Book { orders: book.orders.clone(), service_dates: dates.clone(), ..Book::default() };
    let demand = demand(&morning.bakery, &orders, &dates).map_err(refused)?;
    Ok((dates, demand))
}
