//! The book as a plan needs it: orders that are held, and lots with their balance.

use super::{Refusal, bakery, orders::OrderState};
use crate::{
    document::{parse_date, parse_time},
    state::State,
    store::{StoreError, Tx, instant, lots, lots::LotRow, movements, orders, sites},
};
use domain::{
    bakery::Bakery,
    book::Book,
    id::Code,
    lot::{Lot, LotState, LotUse},
    order::OrderLine,
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use std::sync::Arc;

/// The bakery, the book from today on, and the plan revision that they stand for.
///
/// # Errors
/// [`Refusal::NoBakery`], or [`Refusal::Store`].
pub fn load(state: &State, tx: &mut Tx) -> Result<(Arc<Bakery>, Book, i64), Refusal> {
    let bakery = bakery::load(state, tx)?;
    let book = read(tx, &state.site, today(state, &bakery))?;
    let revision = sites::find(tx, &state.site)?.plan_revision;
    Ok((bakery, book, revision))
}

/// An order that came after its cutoff: it is counted, and a person is to settle it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LateOrder {
    /// The sender's name for it.
    pub order_ref: String,
    /// For which local date.
    pub service_date: Date,
}

/// Late orders from today on, by service date and name.
///
/// # Errors
/// [`Refusal::NoBakery`], or [`Refusal::Store`].
pub fn late_orders(state: &State, tx: &mut Tx) -> Result<Vec<LateOrder>, Refusal> {
    let bakery = bakery::load(state, tx)?;
    let from = today(state, &bakery).to_string();
    let mut late = Vec::new();
    let word = OrderState::TakenLateAsking.word();
    for (order_ref, service_date) in orders::in_state(tx, &state.site, word, &from)? {
        if let Some(text) = service_date {
            late.push(LateOrder { order_ref, service_date: date(&text)? });
        }
    }
    Ok(late)
}

fn today(state: &State, bakery: &Bakery) -> Date {
    bakery.site().time_zone.to_datetime(state.now()).date()
}

/// What happened, without the bakery: orders of service dates from a date on, all lots.
///
/// # Errors
/// [`StoreError`]
pub(super) fn read(tx: &mut Tx, site: &str, from: Date) -> Result<Book, StoreError> {
    let from = from.to_string();
    let mut held = Vec::new();
    for row in orders::held_lines(tx, site, &from)? {
        // A cancellation that came first has no customer, and no lines either.
        let (Some(customer), Some(service_date)) = (row.customer, row.service_date) else {
            return Err(StoreError::Corrupt("order"));
        };
        held.push(OrderLine {
            customer: code(&customer)?,
            service_date: date(&service_date)?,
            product: code(&row.product)?,
            pieces: row.quantity_taken,
            drop: row.drop_time.as_deref().map(drop_time).transpose()?,
            taken_at: Some(instant::read(&row.taken_at)?),
        });
    }
    let service_dates = orders::service_dates(tx, site, &from)?;
    let mut balances = movements::balances(tx, site)?;
    let mut stock = Vec::new();
    let counts = movements::last_counts(tx, site)?;
    let mut counted = Vec::with_capacity(counts.len());
    for row in lots::list_all(tx, site)? {
        let balance_micro = balances.remove(&row.id).unwrap_or(0);
        if let Some(at) = counts.get(&row.id) {
            counted.push((code(&row.item)?, instant::read(at)?));
        }
        // What is used up feeds nothing; a negative balance is shown to be counted.
        if balance_micro != 0 {
            stock.push(lot(row, balance_micro)?);
        }
    }
    Ok(Book {
        orders: held,
        service_dates: service_dates.iter().map(|text| date(text)).collect::<Result<_, _>>()?,
        lots: stock,
        counted,
    })
}

fn lot(row: LotRow, balance_micro: i64) -> Result<Lot, StoreError> {
    let LotRow {
        site: _,
        id: _,
        name,
        item,
        unit: _,
        received,
        use_by,
        best_before,
        usable_until,
        baked,
        arrives,
        place,
        supplier: _,
        state,
        usage,
        hold_reason: _,
        made_at,
    } = row;
    let state = state_of(&state)?;
    Ok(Lot {
        name,
        item: code(&item)?,
        balance_micro,
        state,
        usage: usage_of(&usage)?,
        received: date(&received)?,
        // Past best-before needs a person's decision, so that date ends its use here too.
        date: use_by.or(best_before).as_deref().map(date).transpose()?,
        usable_until: instant_option(usable_until.as_deref())?,
        arrives: match state {
            LotState::Expected => instant_option(arrives.as_deref())?,
            LotState::Hold | LotState::Released | LotState::Open => None,
        },
        baked: baked.as_deref().map(date).transpose()?,
        made_at: instant_option(made_at.as_deref())?,
        opened: None,
        place: place.as_deref().map(code).transpose()?,
    })
}

/// A stored lot state.
///
/// # Errors
/// [`StoreError::Corrupt`]
pub(super) fn state_of(text: &str) -> Result<LotState, StoreError> {
    Ok(match text {
        "expected" => LotState::Expected,
        "hold" => LotState::Hold,
        "released" => LotState::Released,
        "open" => LotState::Open,
        _ => return Err(StoreError::Corrupt("lot state")),
    })
}

/// A stored lot use.
///
/// # Errors
/// [`StoreError::Corrupt`]
pub(super) fn usage_of(text: &str) -> Result<LotUse, StoreError> {
    match text {
        "any" => Ok(LotUse::Any),
        "ingredient" => Ok(LotUse::Ingredient),
        _ => Err(StoreError::Corrupt("lot use")),
    }
}

/// A stored code.
///
/// # Errors
/// [`StoreError::Corrupt`]
pub(super) fn code(text: &str) -> Result<Code, StoreError> {
    Code::parse(text).map_err(|_| StoreError::Corrupt("code"))
}

/// A stored date.
///
/// # Errors
/// [`StoreError::Corrupt`]
pub(super) fn date(text: &str) -> Result<Date, StoreError> {
    parse_date(text).ok_or(StoreError::Corrupt("date"))
}

/// A stored local time.
///
/// # Errors
/// [`StoreError::Corrupt`]
fn drop_time(text: &str) -> Result<Time, StoreError> {
    parse_time(text).ok_or(StoreError::Corrupt("drop time"))
}

/// A stored instant that may be absent.
///
/// # Errors
/// [`StoreError::Corrupt`]
pub(super) fn instant_option(text: Option<&str>) -> Result<Option<Timestamp>, StoreError> {
    text.map(instant::read).transpose()
}
