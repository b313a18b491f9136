//! Pieces of an earlier bake that go into others: from which lots, first expired first.

use super::{Plan, needs::to_make};
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::{self, OutOfCalendar},
    lot::{Lot, LotUse},
    quantity::MICRO,
    ratio::{Overflow, Ratio},
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use std::collections::BTreeMap;

/// What the pieces of one product take of an earlier bake of another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DayOldDraw {
    /// Position of the product that is taken.
    pub product: u32,
    /// When it is baked.
    pub baked: Date,
    /// Position of the product that takes it.
    pub taken_by: u32,
    /// For which service date.
    pub service_date: Date,
    /// When the first of it is used.
    pub at: Timestamp,
    /// Pieces that are still to be taken: those of `from`, `coming` and `unmet` together.
    pub pieces: i64,
    /// Positions of lots in the book and how many pieces of each, in order of use.
    pub from: Vec<(u32, i64)>,
    /// Pieces that the plan itself bakes: their lots speak for that date first.
    pub coming: i64,
    /// Pieces that no lot covers.
    pub unmet: i64,
}

/// Why nobody can say what is taken of earlier bakes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum DayOldError {
    /// The numbers are too large.
    #[error(transparent)]
    Overflow(#[from] Overflow),
    /// A date beyond all calendars.
    #[error(transparent)]
    OutOfCalendar(#[from] OutOfCalendar),
}

/// What a plan takes of earlier bakes, by the moment of use.
///
/// What was made already has taken its pieces. Pieces that cover orders are not taken twice.
///
/// # Errors
/// [`DayOldError`]
pub fn day_old(bakery: &Bakery, book: &Book, plan: &Plan) -> Result<Vec<DayOldDraw>, DayOldError> {
    let mut draws = Vec::new();
    let outside = plan.demand.stock_draws.iter().map(|draw| {
        (draw.product, draw.baked, draw.taken_by, draw.service_date, draw.pieces, false)
    });
    let inside = plan.demand.pieces.iter().flat_map(|line| {
        let taken = line.taken_by.iter().filter(|&&(_, date, _)| date != line.service_date);
        taken.map(|&(by, date, pieces)| (line.product, line.service_date, by, date, pieces, true))
    });
    for (product, baked, taken_by, service_date, pieces, is_planned) in outside.chain(inside) {
        let rest = to_make(bakery, book, plan, (taken_by, service_date))?;
        let pieces = i64::try_from(Ratio::whole(pieces.into()).times(rest)?.ceil());
        let pieces = pieces.map_err(|_| Overflow)?;
        if pieces == 0 {
            continue;
        }
        let at = used_at(bakery, plan, (taken_by, service_date))?;
        let (coming, unmet) = if is_planned { (pieces, 0) } else { (0, pieces) };
        let from = Vec::new();
        draws.push(DayOldDraw {
            product,
            baked,
            taken_by,
            service_date,
            at,
            pieces,
            from,
            coming,
            unmet,
        });
    }
    let code = |draw: &DayOldDraw| &bakery.product(draw.taken_by).code;
    draws.sort_by(|a, b| {
        let place = |draw: &DayOldDraw| (draw.at, draw.service_date, draw.product);
        place(a).cmp(&place(b)).then_with(|| code(a).cmp(code(b)))
    });
    hand_out(bakery, book, plan, &mut draws);
    Ok(draws)
}

/// The start of the first step of a product, else the first use of what goes onto it, else
/// the start of the day.
pub(super) fn used_at(
    bakery: &Bakery,
    plan: &Plan,
    (product, service_date): (u32, Date),
) -> Result<Timestamp, OutOfCalendar> {
    let own = (product, service_date);
    let runs = plan.runs.iter().filter(|run| (run.product, run.service_date) == own);
    let begins = runs.filter_map(|run| run.steps.first()).map(|step| step.start).min();
    let toppings = plan.toppings.iter().filter(|one| (one.product, one.service_date) == own);
    match begins.or_else(|| toppings.map(|topping| topping.at).min()) {
        Some(at) => Ok(at),
        None => calendar::instant(&bakery.site().time_zone, service_date, Time::midnight()),
    }
}

/// Gives each draw its lots, in order of use.
fn hand_out(bakery: &Bakery, book: &Book, plan: &Plan, draws: &mut [DayOldDraw]) {
    let mut left: BTreeMap<u32, i64> = BTreeMap::new();
    for finished in &plan.demand.finished {
        *left.entry(finished.lot).or_default() -= finished.pieces;
    }
    for draw in draws.iter_mut().filter(|draw| draw.unmet > 0) {
        let code = &bakery.product(draw.product).code;
        let day = bakery.site().time_zone.to_datetime(draw.at).date();
        let in_date = |lot: &Lot| {
            lot.date.is_none_or(|last| last >= day)
                && lot.usable_until.is_none_or(|until| until >= draw.at)
        };
        let mut lots: Vec<(u32, &Lot)> = (0_u32..)
            .zip(&book.lots)
            .filter(|(_, lot)| lot.item == *code && lot.baked == Some(draw.baked))
            .filter(|(_, lot)| lot.usage != LotUse::ParBaked && !lot.state.is_kept_back())
            .filter(|(_, lot)| in_date(lot))
            .collect();
        lots.sort_by_cached_key(|(_, lot)| {
            (lot.date.unwrap_or(Date::MAX), lot.usable_until, lot.rank())
        });
        for (position, lot) in lots {
            let gone = left.entry(position).or_default();
            let part = (lot.balance_micro / MICRO + *gone).clamp(0, draw.unmet);
            if part > 0 {
                *gone -= part;
                draw.unmet -= part;
                draw.from.push((position, part));
            }
        }
    }
}
