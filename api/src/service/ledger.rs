//! The stock ledger: the one place that writes it.
//!
//! Entries are only added. Each carries a hash of itself and of the entry before it, so
//! that a changed, removed or inserted entry shows; the cached balances move with them.

mod chain;
mod check;
mod correct;
mod entries;
mod posting;

pub use check::{Checked, Finding, check};
pub use correct::{Correction, correct};
pub use entries::{MovementHeld, movements};
pub use posting::Posting;

use super::Refusal;
use crate::{
    clock,
    state::State,
    store::{Tx, balances, instant, lots, movements as rows, movements::MovementRow, sites},
};
use domain::movement::MovementKind;
use jiff::Timestamp;

/// One entry of the ledger before it is written.
#[derive(Debug, Clone, Copy)]
pub struct Entry<'a> {
    /// Id of the lot.
    pub lot: &'a str,
    /// What happened.
    pub kind: MovementKind,
    /// What it adds to the lot, in millionths of its base unit.
    pub amount_micro: i64,
    /// When it happened, which may be before other entries.
    pub happened_at: Timestamp,
    /// Who did it.
    pub who: Option<&'a str>,
    /// Why.
    pub reason: Option<&'a str>,
    /// Id of the load that it was for.
    pub load: Option<&'a str>,
    /// The document behind it.
    pub document: Option<&'a str>,
    /// Where; the lot's own place if not said.
    pub place: Option<&'a str>,
    /// Id of the entry that it takes back.
    pub reverses: Option<&'a str>,
}

impl<'a> Entry<'a> {
    /// An entry of which only this is known.
    #[must_use]
    pub const fn new(
        lot: &'a str,
        kind: MovementKind,
        amount_micro: i64,
        happened_at: Timestamp,
    ) -> Self {
        Self {
            lot,
            kind,
            amount_micro,
            happened_at,
            who: None,
            reason: None,
            load: None,
            document: None,
            place: None,
            reverses: None,
        }
    }
}

/// Writes an entry at the end of the chain and moves the balance; returns its id.
///
/// The caller's transaction makes it one with whatever the entry tells about.
///
/// # Errors
/// [`Refusal::Unknown`] if there is no such lot; `out-of-range` if the kind does not move a
/// balance that way.
pub fn enter(tx: &mut Tx, site: &str, now: Timestamp, entry: Entry<'_>) -> Result<String, Refusal> {
    let Entry {
        lot,
        kind,
        amount_micro,
        happened_at,
        who,
        reason,
        load,
        document,
        place,
        reverses,
    } = entry;
    if !kind.may_add(amount_micro) {
        let detail = format!("a `{}` entry cannot add {amount_micro} millionths", kind.word());
        return Err(Refusal::stated("out-of-range", detail));
    }
    let place = match place {
        Some(place) => place.to_owned(),
        None => place_of(tx, site, lot)?,
    };
    let (sequence, previous_hash) = match rows::head(tx, site)? {
        Some((sequence, hash)) => (sequence + 1, hash),
        None => (1, chain::genesis(tx, site)?),
    };
    let mut row = MovementRow {
        site: site.to_owned(),
        id: clock::new_id(now).to_string(),
        lot: lot.to_owned(),
        kind: kind.word().to_owned(),
        amount_micro,
        happened_at: instant::text(happened_at),
        recorded_at: instant::text(now),
        reason: reason.map(str::to_owned),
        who: who.map(str::to_owned),
        document: document.map(str::to_owned),
        load: load.map(str::to_owned),
        place,
        reverses: reverses.map(str::to_owned),
        sequence,
        previous_hash,
        hash: String::new(),
    };
    row.hash = chain::hash(&row)?;
    rows::insert(tx, &row)?;
    balances::add(tx, site, (lot, &row.place), amount_micro)?;
    Ok(row.id)
}

/// The plan revision and the entries in the chain.
///
/// # Errors
/// [`Refusal`]
pub fn size(state: &State) -> Result<(i64, i64), Refusal> {
    state.store.read(|tx| {
        let revision = sites::find(tx, &state.site)?.plan_revision;
        Ok((revision, rows::head(tx, &state.site)?.map_or(0, |(sequence, _)| sequence)))
    })
}

/// Where an entry lands that names no place: where most of the lot lies.
fn place_of(tx: &mut Tx, site: &str, lot: &str) -> Result<String, Refusal> {
    let row = lots::find(tx, site, lot)?;
    let row = row.ok_or_else(|| Refusal::Unknown { noun: "lot", code: lot.to_owned() })?;
    Ok(row.place.unwrap_or_default())
}

#[cfg(test)]
mod tests;
