//! Finished pieces in stock: orders that they cover, and frozen ones that must thaw first.

use super::Asked;
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::{add_minutes, instant},
    lot::{Lot, LotUse},
    quantity::MICRO,
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};

/// Finished pieces of one lot that cover orders of a service date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FinishedDraw {
    /// Position of the lot in the book.
    pub lot: u32,
    /// Position of the product.
    pub product: u32,
    /// For which service date.
    pub service_date: Date,
    /// How many pieces.
    pub pieces: i64,
    /// Frozen pieces: when they must be out, so that they are thawed at their first drop.
    pub out_by: Option<Timestamp>,
}

/// A lot while it is handed out.
struct Shelf<'a> {
    position: u32,
    lot: &'a Lot,
    product: u32,
    last: Option<Date>,
    left: i64,
    /// Minutes that it still has to thaw; none if it is not frozen.
    thaw_minutes: Option<i64>,
}

/// Finished stock goes to the earliest date on which it can be sold, orders first.
///
/// Frozen pieces cover only orders whose drop leaves them the time to thaw from `as_of` on.
pub(super) fn draw(
    bakery: &Bakery,
    book: &Book,
    dates: &[Date],
    as_of: Timestamp,
    asked: &mut [Asked],
) -> Vec<FinishedDraw> {
    let products = bakery.lists().products.len();
    let mut shelves = shelves(bakery, book);
    let mut draws = Vec::new();
    for (day, &date) in dates.iter().enumerate() {
        for shelf in &mut shelves {
            let sellable = shelf.last.is_none_or(|last| last >= date)
                && shelf.lot.baked.is_none_or(|baked| baked <= date);
            if !sellable {
                continue;
            }
            let here = &mut asked[day * products + shelf.product as usize];
            let mut open = here.ordered - here.from_stock;
            let mut out_by = None;
            if let Some(thaw) = shelf.thaw_minutes {
                let from = shelf.lot.thaw_started.unwrap_or(as_of);
                let (pieces, first) = thawed(bakery, book, (date, shelf.product), from, thaw);
                open = open.min(pieces - here.from_frozen);
                out_by = first.filter(|_| shelf.lot.thaw_started.is_none());
            }
            let taken = open.min(shelf.left).max(0);
            if taken == 0 {
                continue;
            }
            here.from_stock += taken;
            here.from_frozen += if shelf.thaw_minutes.is_some() { taken } else { 0 };
            shelf.left -= taken;
            draws.push(FinishedDraw {
                lot: shelf.position,
                product: shelf.product,
                service_date: date,
                pieces: taken,
                out_by,
            });
        }
    }
    draws
}

/// Lots of finished pieces, first expired first; what never expires goes last, and what is
/// frozen after what is not.
fn shelves<'a>(bakery: &Bakery, book: &'a Book) -> Vec<Shelf<'a>> {
    let mut shelves = Vec::new();
    for (position, lot) in (0_u32..).zip(&book.lots) {
        let Some(product) = bakery.index().product(lot.item.as_str()) else { continue };
        let left = lot.balance_micro / MICRO;
        if lot.usage != LotUse::Any || lot.state.is_kept_back() || left <= 0 {
            continue;
        }
        let thaw = bakery.product(product).thaw_minutes;
        let frozen = bakery.is_frozen(lot) || (lot.thaw_started.is_some() && thaw > 0);
        shelves.push(Shelf {
            position,
            lot,
            product,
            last: last_day(bakery, lot),
            left,
            thaw_minutes: frozen.then_some(thaw),
        });
    }
    shelves.sort_by_key(|shelf| {
        let kept = shelf.thaw_minutes.is_some();
        (shelf.last.unwrap_or(Date::MAX), kept, shelf.lot.rank())
    });
    shelves
}

fn last_day(bakery: &Bakery, lot: &Lot) -> Option<Date> {
    let until = lot.usable_until.map(|until| bakery.site().time_zone.to_datetime(until).date());
    match (lot.date, until) {
        (Some(date), Some(until)) => Some(date.min(until)),
        (date, until) => date.or(until),
    }
}

/// Ordered pieces whose drop leaves time to thaw, and when the first of them must be out.
///
/// A line that says no drop may leave with the day.
fn thawed(
    bakery: &Bakery,
    book: &Book,
    (date, product): (Date, u32),
    from: Timestamp,
    thaw_minutes: i64,
) -> (i64, Option<Timestamp>) {
    let code = &bakery.product(product).code;
    let zone = &bakery.site().time_zone;
    let (mut pieces, mut first) = (0_i64, None::<Timestamp>);
    for line in &book.orders {
        if line.service_date != date || line.product != *code || line.pieces <= 0 {
            continue;
        }
        let drop = instant(zone, date, line.drop.unwrap_or(Time::midnight()));
        let Some(out_by) = drop.and_then(|drop| add_minutes(drop, -thaw_minutes)).ok() else {
            continue;
        };
        if out_by >= from {
            pieces = pieces.saturating_add(line.pieces);
            first = Some(first.map_or(out_by, |first| first.min(out_by)));
        }
    }
    (pieces, first)
}
