//! Finished pieces in stock: orders that they cover, frozen ones that must thaw first, and
//! par-baked ones that must be finished.

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
    /// Frozen or par-baked pieces: when they must be out, so that they are thawed, or through
    /// the least of their finish route, at their first drop.
    pub out_by: Option<Timestamp>,
    /// The first drop that they can cover, if they must be out before it.
    pub first_drop: Option<Timestamp>,
    /// Whether they still go through their finish route.
    pub par_baked: bool,
}

/// A lot while it is handed out.
struct Shelf<'a> {
    position: u32,
    lot: &'a Lot,
    product: u32,
    last: Option<Date>,
    left: i64,
    /// Minutes before its drop at which it must be out: to thaw, or to be finished; none if
    /// it is ready.
    lead_minutes: Option<i64>,
}

/// Finished stock goes to the earliest date on which it can be sold, orders first.
///
/// Frozen pieces cover only orders whose drop leaves them the time to thaw from `as_of` on,
/// par-baked ones those that leave them the time of their finish route, in their age window.
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
            let mut open = here.all() - here.from_stock;
            let mut first = None;
            if let Some(lead) = shelf.lead_minutes {
                let within = shelf.out_within(bakery, as_of);
                let pieces;
                (pieces, first) = in_time(bakery, book, (date, shelf.product), within, lead);
                open = open.min(pieces - here.from_frozen);
            }
            let taken = open.min(shelf.left).max(0);
            if taken == 0 {
                continue;
            }
            here.from_stock += taken;
            here.from_frozen += if shelf.lead_minutes.is_some() { taken } else { 0 };
            shelf.left -= taken;
            draws.push(FinishedDraw {
                lot: shelf.position,
                product: shelf.product,
                service_date: date,
                pieces: taken,
                out_by: first.filter(|_| shelf.lot.thaw_started.is_none()),
                first_drop: first
                    .zip(shelf.lead_minutes)
                    .and_then(|(first, lead)| add_minutes(first, lead).ok()),
                par_baked: shelf.lot.usage == LotUse::ParBaked,
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
        if lot.state.is_kept_back() || left <= 0 {
            continue;
        }
        let lead_minutes = match lot.usage {
            LotUse::Any => thaw_of(bakery, product, lot),
            LotUse::Ingredient => continue,
            LotUse::ParBaked => match finish_of(bakery, product, left) {
                Some(minutes) => Some(minutes),
                None => continue,
            },
        };
        shelves.push(Shelf {
            position,
            lot,
            product,
            last: last_day(bakery, lot),
            left,
            lead_minutes,
        });
    }
    shelves.sort_by_key(|shelf| {
        let kept = shelf.lead_minutes.is_some();
        (shelf.last.unwrap_or(Date::MAX), kept, shelf.lot.rank())
    });
    shelves
}

/// Minutes that a frozen piece still has to thaw; none if it is not frozen.
fn thaw_of(bakery: &Bakery, product: u32, lot: &Lot) -> Option<i64> {
    let thaw = bakery.product(product).thaw_minutes;
    let frozen = bakery.is_frozen(lot) || (lot.thaw_started.is_some() && thaw > 0);
    frozen.then_some(thaw)
}

/// Fewest minutes from the cold place to the drop of so many par-baked pieces; none if nobody
/// says how they are finished.
fn finish_of(bakery: &Bakery, product: u32, pieces: i64) -> Option<i64> {
    let route = &bakery.product(product).par_baked.as_ref()?.route;
    let route = &bakery.lists().routes[bakery.index().route(route.as_str())? as usize];
    Some(route.steps.iter().map(|step| step.length.minutes(1, pieces).0).sum())
}

impl Shelf<'_> {
    /// Between which instants it may be taken out: par-baked pieces in their age window.
    fn out_within(&self, bakery: &Bakery, as_of: Timestamp) -> (Timestamp, Timestamp) {
        let from = self.lot.thaw_started.unwrap_or(as_of);
        let par_baked = bakery.product(self.product).par_baked.as_ref();
        let age = par_baked.filter(|_| self.lot.usage == LotUse::ParBaked).and_then(|of| of.age);
        let Some((least, most)) = age else { return (from, Timestamp::MAX) };
        // An unknown age is never a good one.
        let Some(made_at) = self.lot.made_at else { return (Timestamp::MAX, Timestamp::MIN) };
        let after = |minutes| add_minutes(made_at, minutes).unwrap_or(Timestamp::MAX);
        (from.max(after(least)), after(most))
    }
}

fn last_day(bakery: &Bakery, lot: &Lot) -> Option<Date> {
    let until = lot.usable_until.map(|until| bakery.site().time_zone.to_datetime(until).date());
    match (lot.date, until) {
        (Some(date), Some(until)) => Some(date.min(until)),
        (date, until) => date.or(until),
    }
}

/// Pieces for customers whose drop leaves the time, and when the first of them must be out.
///
/// A line that says no drop may leave with the day.
fn in_time(
    bakery: &Bakery,
    book: &Book,
    (date, product): (Date, u32),
    (from, until): (Timestamp, Timestamp),
    lead_minutes: i64,
) -> (i64, Option<Timestamp>) {
    let code = &bakery.product(product).code;
    let zone = &bakery.site().time_zone;
    let (mut pieces, mut first) = (0_i64, None::<Timestamp>);
    for line in &book.orders {
        if line.service_date != date || line.product != *code || line.pieces <= 0 {
            continue;
        }
        let drop = instant(zone, date, line.drop.unwrap_or(Time::midnight()));
        let Some(out_by) = drop.and_then(|drop| add_minutes(drop, -lead_minutes)).ok() else {
            continue;
        };
        if (from..=until).contains(&out_by) {
            pieces = pieces.saturating_add(line.pieces);
            first = Some(first.map_or(out_by, |first| first.min(out_by)));
        }
    }
    (pieces, first)
}
