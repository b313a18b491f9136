//! Carrying a lot from one place to another: thawing starts, and nothing is frozen twice.

use super::{
    Refusal, book,
    stock::{Entry, LotHeld, enter, find_lot, quantity_of},
};
use crate::{
    clock,
    document::Fault,
    store::{Tx, instant, lots as lot_rows, lots::LotRow, movements as ledger, sites},
};
use domain::{bakery::Bakery, equipment::PlaceKind, id::Code, quantity::Quantity};
use jiff::Timestamp;

/// What was carried.
#[derive(Debug, Clone)]
pub struct Move {
    /// Id of the lot.
    pub lot: String,
    /// Where it lies now.
    pub to: Code,
    /// When it was carried.
    pub moved_at: Timestamp,
    /// How much of it; all of it if not said.
    pub quantity: Option<Quantity>,
}

/// What a move came to.
#[derive(Debug)]
pub struct Moved {
    /// The lot in its new place.
    pub lot: LotHeld,
    /// The plan revision that it made.
    pub plan_revision: i64,
}

fn fault(pointer: &str, kind: &'static str, detail: String) -> Refusal {
    Refusal::Body(vec![Fault { pointer: pointer.to_owned(), kind, detail }])
}

/// Moves a lot, or splits off the part that moves.
///
/// # Errors
/// [`Refusal::Body`] names the fault.
pub fn move_lot(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    asked: &Move,
) -> Result<Moved, Refusal> {
    let Move { lot, to, moved_at, quantity } = asked;
    if *moved_at > now {
        let detail = format!("`{moved_at}` is still to come: say when it was carried");
        return Err(fault("/moved_at", "out-of-range", detail));
    }
    let Some(row) = lot_rows::find(tx, site, lot)? else {
        let detail = format!("there is no lot `{lot}`: look it up under /v1/lots");
        return Err(fault("/lot", "unknown-code", detail));
    };
    let Some(place) = bakery.index().place(to.as_str()) else {
        let detail = format!("there is no place `{to}`: add it first or mend the code");
        return Err(fault("/to", "unknown-code", detail));
    };
    let kind = bakery.lists().places[place as usize].kind;
    let thaw_started = thaw(bakery, &row, kind, *moved_at)?;
    let balance = ledger::balance(tx, site, lot)?;
    let part = match quantity {
        None => balance,
        Some(quantity) => quantity_of(bakery, &row, *quantity)?,
    };
    if part <= 0 || part > balance {
        let detail = format!(
            "the lot holds {} by the book: move more than nothing and no more than that, or \
             count it first",
            domain::quantity::micro_decimal(domain::ratio::Ratio::whole(balance.into()))
        );
        return Err(fault("/quantity", "out-of-range", detail));
    }
    let id = if part == balance {
        lot_rows::set_place(tx, site, lot, to.as_str(), thaw_started.as_deref())?;
        let entry = Entry { lot, kind: "move", amount_micro: 0, happened_at: *moved_at };
        enter(tx, site, now, entry, None)?;
        lot.clone()
    } else {
        split_off(tx, (site, now), row, asked, (part, thaw_started))?
    };
    let cause = format!("lot moved to {to}");
    let change = sites::Change { at: now, cause: &cause, bakery_changed: false };
    let plan_revision = sites::bump(tx, site, change)?;
    let lot = find_lot(tx, site, &bakery.site().time_zone, &id)?;
    Ok(Moved { lot, plan_revision })
}

/// When a lot starts to thaw by a move, if it does.
fn thaw(
    bakery: &Bakery,
    row: &LotRow,
    to: PlaceKind,
    moved_at: Timestamp,
) -> Result<Option<String>, Refusal> {
    if to == PlaceKind::Freezer && row.thaw_started.is_some() {
        let detail = format!("lot {} was thawed once: no second freezing", row.name);
        return Err(fault("/to", "field-mismatch", detail));
    }
    if row.thaw_started.is_some() {
        return Ok(row.thaw_started.clone());
    }
    let frozen = bakery.is_frozen(&book::lot(row.clone(), 0)?);
    let out = frozen && to != PlaceKind::Freezer;
    Ok(out.then(|| instant::text(moved_at)))
}

/// A part that moves becomes a lot of the same name and dates.
fn split_off(
    tx: &mut Tx,
    (site, now): (&str, Timestamp),
    row: LotRow,
    asked: &Move,
    (part, thaw_started): (i64, Option<String>),
) -> Result<String, Refusal> {
    let id = clock::new_id(now).to_string();
    let from = row.id.clone();
    let other = LotRow { id: id.clone(), place: Some(asked.to.to_string()), thaw_started, ..row };
    lot_rows::insert(tx, &other)?;
    let happened_at = asked.moved_at;
    let away = Entry { lot: &from, kind: "move", amount_micro: -part, happened_at };
    enter(tx, site, now, away, None)?;
    let here = Entry { lot: &id, kind: "move", amount_micro: part, happened_at };
    enter(tx, site, now, here, None)?;
    Ok(id)
}
