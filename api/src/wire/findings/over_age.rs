//! Kept lots that are over their age where the work of a date would take them: STOP.

use super::times::local;
use crate::{
    messages::Sentence,
    service::plan::Morning,
    wire::{
        day_board::BoardLeverView,
        lot_lever::{lot_levers, said},
        printed,
    },
};
use domain::{
    calendar,
    lot::Lot,
    plan::made_stock::{MadeLotError, over_age, over_age_pieces},
    quantity::Unit,
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};

/// A lot that must not be used, and what can be done instead.
pub(in crate::wire) struct Stopped {
    /// Which lot, and why, in words.
    pub(in crate::wire) what: Sentence,
    /// What can be done, each with its cost.
    pub(in crate::wire) levers: Vec<BoardLeverView>,
}

/// Lots that are over their age for the work of a date.
///
/// # Errors
/// [`MadeLotError`]
pub(in crate::wire) fn stopped(
    morning: &Morning,
    work_date: Date,
) -> Result<Vec<Stopped>, MadeLotError> {
    let Morning { bakery, book, plan, now, .. } = morning;
    let zone = &bakery.site().time_zone;
    let mut found = Vec::new();
    for row in over_age(bakery, book, plan, *now, work_date)? {
        let (lot, item) = (&book.lots[row.lot as usize], bakery.item(row.item));
        let last = row.window.and_then(|window| window.last);
        found.push(Stopped {
            what: what(morning, (&item.name, item.base_unit), lot, last),
            levers: lot_levers(morning, lot, &row.levers),
        });
    }
    let seen_at = calendar::instant(zone, work_date, Time::midnight())?.max(*now);
    for row in over_age_pieces(bakery, book, plan, seen_at, work_date)? {
        let (lot, product) = (&book.lots[row.lot as usize], bakery.product(row.product));
        found.push(Stopped {
            what: what(morning, (&product.name, Unit::Each), lot, row.last),
            levers: lot_levers(morning, lot, &row.levers),
        });
    }
    Ok(found)
}

fn what(
    morning: &Morning,
    (name, unit): (&str, Unit),
    lot: &Lot,
    last: Option<Timestamp>,
) -> Sentence {
    let of = match last {
        None => Sentence::of("finding-over-age"),
        Some(last) => Sentence::of("finding-over-age-since").with("since", local(morning, last)),
    };
    let place = morning.bakery.place_of(lot);
    let amount = printed::amount(lot.balance_micro, unit).said();
    of.with("name", name)
        .with("lot", &lot.name)
        .with("amount", Sentence::amount(amount))
        .with("place", place.map_or(Sentence::of("finding-no-place"), |one| (&one.name).into()))
}

/// The same as remarks on a sheet.
pub(super) fn notes(morning: &Morning, work_date: Date) -> Vec<Sentence> {
    let Ok(found) = stopped(morning, work_date) else {
        return vec![Sentence::of("finding-over-age-unknown")];
    };
    let note = |one: &Stopped| {
        let levers = Sentence::chained("finding-instead-or", one.levers.iter().map(said));
        Sentence::of("finding-over-age-instead")
            .with("what", &one.what)
            .with("levers", levers.unwrap_or_else(|| "".into()))
    };
    found.iter().map(note).collect()
}
