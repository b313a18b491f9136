//! What goes out of date before the plan uses it.

use super::{Plan, made_stock, stock};
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::{OutOfCalendar, last_second},
    lot::Lot,
    product::MakeUp,
    quantity::MICRO,
};
use jiff::Timestamp;
use std::collections::BTreeMap;

/// Some of a lot that nobody will have used by its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Expiring {
    /// Position of the lot in the book.
    pub lot: u32,
    /// Its last instant of use; of an opened pack, that of the pack.
    pub at: Timestamp,
    /// How much is left by then, in millionths of its base unit.
    pub micro: i64,
    /// How much the plan takes of the whole lot before.
    pub planned_micro: i64,
}

/// What goes out of date up to an instant, by its end, then by the order of the book.
///
/// The plan draws first expired first; what it does not take is left. Lots that must not be
/// used are in it too: they go out of date all the same.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn expiring(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    (now, until): (Timestamp, Timestamp),
) -> Result<Vec<Expiring>, OutOfCalendar> {
    let taken = taken(plan);
    let mut found = Vec::new();
    let mut spoiled: BTreeMap<u32, i64> = BTreeMap::new();
    for item in &plan.stock {
        for one in &item.netting.spoiled {
            let lot = item.lots[one.lot].lot;
            let planned_micro = taken.get(&lot).copied().unwrap_or(0);
            *spoiled.entry(lot).or_default() += one.micro;
            found.push(Expiring { lot, at: one.at, micro: one.micro, planned_micro });
        }
    }
    for (at, lot) in (0_u32..).zip(&book.lots) {
        let planned_micro = taken.get(&at).copied().unwrap_or(0);
        let gone = spoiled.get(&at).copied().unwrap_or(0);
        let micro = lot.balance_micro.saturating_sub(planned_micro).saturating_sub(gone);
        let usable = if lot.state.is_kept_back() {
            end(bakery, lot)?
        } else if bakery.index().item(lot.item.as_str()).is_some() {
            stock::net_lot(bakery, book, plan, at, now)?.until
        } else {
            end(bakery, lot)?
        };
        if let (Some(end), true) = (usable, micro > 0) {
            found.push(Expiring { lot: at, at: end, micro, planned_micro });
        }
    }
    found.retain(|one| one.at <= until);
    found.sort_by_key(|one| (one.at, one.lot));
    Ok(found)
}

/// The end of a lot that no netting looks at; a frozen one has none.
fn end(bakery: &Bakery, lot: &Lot) -> Result<Option<Timestamp>, OutOfCalendar> {
    let aged = made_stock::draw_window(bakery, lot)?.and_then(|aged| aged.last);
    let own = stock::lot_end(bakery, lot)?;
    // Finished pieces without a date are sold on the day on which they were baked.
    let product = bakery.index().product(lot.item.as_str()).is_some();
    let baked = lot.baked.filter(|_| product && own.is_none());
    let baked = baked.map(|date| last_second(&bakery.site().time_zone, date)).transpose()?;
    Ok([aged, own, baked].into_iter().flatten().min())
}

/// What a plan takes of each lot, in millionths of its base unit.
fn taken(plan: &Plan) -> BTreeMap<u32, i64> {
    let mut taken: BTreeMap<u32, i64> = BTreeMap::new();
    for item in &plan.stock {
        for allocation in &item.netting.allocations {
            for (at, micro) in &allocation.from {
                *taken.entry(item.lots[*at].lot).or_default() += micro;
            }
        }
    }
    for one in plan.batches.iter().flat_map(|batch| &batch.from_stock) {
        *taken.entry(one.lot).or_default() += one.used_micro;
    }
    for one in &plan.demand.finished {
        *taken.entry(one.lot).or_default() += one.pieces.saturating_mul(MICRO);
    }
    taken
}

/// Codes of the formulas and products that take an item or product, each by its own code.
#[must_use]
pub fn users(bakery: &Bakery, code: &str) -> (Vec<String>, Vec<String>) {
    let lists = bakery.lists();
    let lines = |formula: &crate::formula::Formula| {
        formula.lines.iter().any(|line| line.item.as_str() == code)
    };
    let mut formulas: Vec<String> = lists
        .formulas
        .iter()
        .filter(|formula| lines(formula))
        .map(|f| f.code.to_string())
        .collect();
    let takes = |line: &MakeUp| match line {
        MakeUp::Item { item, .. } => item.as_str() == code,
        MakeUp::Product { product, .. } => product.as_str() == code,
    };
    let products = lists.products.iter().filter(|product| product.make_up.iter().any(takes));
    let mut products: Vec<String> = products.map(|product| product.code.to_string()).collect();
    formulas.sort_unstable();
    formulas.dedup();
    products.sort_unstable();
    (formulas, products)
}
