//! Moves: some of a lot goes from one place to another.

use super::{LotHeld, bins, fault, find_lot, held, in_unit_of, moment, unknown};
use crate::{
    clock,
    service::{
        Refusal,
        ledger::{self, Entry},
    },
    store::{Tx, balances, bins as bin_rows, instant, lots as rows, lots::LotChange, sites},
};
use domain::{bakery::Bakery, id::Code, movement::MovementKind, quantity::Quantity};
use jiff::Timestamp;

/// Some of a lot went to another place.
#[derive(Debug, Clone)]
pub struct Move {
    /// Id of the lot.
    pub lot: String,
    /// Where it went.
    pub to: Code,
    /// Where it lay; where most of the lot lies if not said.
    pub from: Option<Code>,
    /// How much; all that lay there if not said.
    pub quantity: Option<Quantity>,
    /// When; now if not said.
    pub moved_at: Option<Timestamp>,
    /// Who carried it.
    pub who: Option<String>,
    /// Why.
    pub reason: Option<String>,
}

/// What a move came to.
#[derive(Debug, Clone)]
pub struct Moved {
    /// The document that both entries carry.
    pub document: String,
    /// Ids of the entries: out of the one place, into the other.
    pub movements: [String; 2],
    /// How much, in millionths of the base unit.
    pub amount_micro: i64,
    /// The lot after it.
    pub lot: LotHeld,
}

/// Moves some of a lot, or all that lies at a place: two entries that sum to nothing.
///
/// # Errors
/// [`Refusal::Unknown`]; [`Refusal::Body`] names every fault.
pub fn place_lot(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    asked: &Move,
) -> Result<Moved, Refusal> {
    let Move { lot, to, from, quantity, moved_at, who, reason } = asked;
    let row = held::row(tx, site, lot)?;
    let at = moment(now, *moved_at, "/moved_at")?;
    let places = [("/to", Some(to)), ("/from", from.as_ref())];
    let missing = places.into_iter().filter_map(|(pointer, code)| {
        let code = code.filter(|code| bakery.index().place(code.as_str()).is_none())?;
        Some(unknown(pointer, "place", code))
    });
    let missing: Vec<_> = missing.collect();
    if !missing.is_empty() {
        return Err(Refusal::Body(missing));
    }
    let from = match from {
        Some(from) => from.to_string(),
        None => row.place.clone().unwrap_or_default(),
    };
    if from == to.as_str() {
        return Err(fault("/to", "field-mismatch", format!("it lies in `{to}` already")));
    }
    let there = balances::of_lot(tx, site, lot)?;
    let there = there.iter().find(|row| row.place == from).map_or(0, |row| row.balance_micro);
    let amount_micro = match quantity {
        Some(quantity) => in_unit_of(bakery, &row, *quantity, "/quantity")?,
        None => there,
    };
    if amount_micro <= 0 {
        let detail = format!("nothing of lot {} moves: say more than nothing", row.name);
        return Err(fault("/quantity", "out-of-range", detail));
    }
    let document = format!("move:{}", clock::new_id(now));
    let half = |place, amount_micro| Entry {
        who: who.as_deref(),
        reason: reason.as_deref(),
        document: Some(&document),
        place: Some(place),
        ..Entry::new(lot, MovementKind::Move, amount_micro, at)
    };
    let out = ledger::enter(tx, site, now, half(&from, -amount_micro))?;
    let into = ledger::enter(tx, site, now, half(to.as_str(), amount_micro))?;
    if bins::is_bin(bakery, to.as_str()) {
        bin_rows::fill(tx, site, (to.as_str(), lot), &instant::text(at))?;
    }
    settle(tx, site, lot)?;
    sites::bump(tx, site, false)?;
    let held = find_lot(tx, site, bakery, lot)?;
    Ok(Moved { document, movements: [out, into], amount_micro, lot: held })
}

/// Notes where most of a lot lies; where it lay wins a tie.
pub(super) fn settle(tx: &mut Tx, site: &str, lot: &str) -> Result<(), Refusal> {
    let row = held::row(tx, site, lot)?;
    let balances = balances::of_lot(tx, site, lot)?;
    let stays = |place: &str| row.place.as_deref().unwrap_or_default() == place;
    let most = balances.iter().max_by_key(|row| (row.balance_micro, stays(&row.place)));
    let place = most.map(|row| row.place.clone()).filter(|place| !place.is_empty());
    if place.is_some() && place != row.place {
        rows::change(tx, site, lot, &LotChange { place, ..LotChange::from(&row) })?;
    }
    Ok(())
}
