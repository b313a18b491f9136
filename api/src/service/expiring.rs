//! What goes out of date before the plan uses it, in money, with what could use it.

use super::{
    Refusal,
    plan::{self, Horizon, refused},
    stock::{self, LotHeld},
};
use crate::{state::State, store::Tx};
use domain::{
    calendar,
    plan::{expiring as find, users},
};
use jiff::{Timestamp, civil::Date};
use std::collections::BTreeMap;

/// What goes out of date up to a date.
#[derive(Debug, Clone)]
pub struct Expired {
    /// The plan revision that it stands for.
    pub plan_revision: i64,
    /// Last local date that is looked at.
    pub until: Date,
    /// Lots by their end.
    pub lots: Vec<ExpiringLot>,
}

/// Some of a lot that nobody will have used by its end.
#[derive(Debug, Clone)]
pub struct ExpiringLot {
    /// The lot.
    pub lot: LotHeld,
    /// Where this part of it lies.
    pub place: Option<String>,
    /// Its last instant of use.
    pub at: Timestamp,
    /// How much is left by then, in millionths of its base unit.
    pub micro: i64,
    /// How much the plan takes before.
    pub planned_micro: i64,
    /// What that had cost in whole minor units, half up; none if nobody knows.
    pub minor: Option<i64>,
    /// Formulas that take it.
    pub formulas: Vec<String>,
    /// Products that take it.
    pub products: Vec<String>,
}

/// Finds what goes out of date up to a local date; the usual days of a plan if not said.
///
/// # Errors
/// [`Refusal`] if there is no plan.
pub fn expiring(state: &State, tx: &mut Tx, until: Option<Date>) -> Result<Expired, Refusal> {
    let horizon = until.map_or(Horizon::Usual, Horizon::ServiceDate);
    let morning = plan::load_in(state, tx, horizon)?;
    let (bakery, book) = (&morning.bakery, &morning.book);
    let until = until.unwrap_or(morning.until);
    let end = calendar::last_second(&bakery.site().time_zone, until).map_err(refused)?;
    let found = find(bakery, book, &morning.plan, (morning.now, end)).map_err(refused)?;
    let mut held: BTreeMap<String, LotHeld> = BTreeMap::new();
    let mut lots = Vec::with_capacity(found.len());
    for one in found {
        let of_book = &book.lots[one.lot as usize];
        if !held.contains_key(&of_book.id) {
            let lot = stock::find_lot(tx, &state.site, bakery, &of_book.id)?;
            held.insert(of_book.id.clone(), lot);
        }
        let lot = held[&of_book.id].clone();
        let price = lot.price.map(|price| price.of(one.micro)).transpose().map_err(refused)?;
        let minor = price.map(|price| price.round_half_up()).transpose().map_err(refused)?;
        let (formulas, products) = users(bakery, &lot.item);
        lots.push(ExpiringLot {
            place: of_book.place.as_ref().map(ToString::to_string),
            at: one.at,
            micro: one.micro,
            planned_micro: one.planned_micro,
            minor: minor.and_then(|minor| i64::try_from(minor).ok()),
            formulas,
            products,
            lot,
        });
    }
    Ok(Expired { plan_revision: morning.plan_revision, until, lots })
}
