//! The ledger as it is read: its entries, oldest first.

use crate::{
    service::{Refusal, stock},
    store::{StoreError, Tx, instant, movements as rows, movements::MovementRow},
};
use domain::quantity::Unit;
use jiff::{Timestamp, tz::TimeZone};
use std::collections::BTreeMap;

/// One entry of the ledger.
#[derive(Debug, Clone)]
pub struct MovementHeld {
    /// UUID of version 7.
    pub id: String,
    /// Id of the lot.
    pub lot: String,
    /// The word of what happened.
    pub kind: String,
    /// What it adds to the lot, in millionths of the base unit.
    pub amount_micro: i64,
    /// The base unit of the lot.
    pub unit: Unit,
    /// When it happened.
    pub happened_at: Timestamp,
    /// When it was written down.
    pub recorded_at: Timestamp,
    /// Why.
    pub reason: Option<String>,
    /// Who did it.
    pub who: Option<String>,
    /// The document behind it.
    pub document: Option<String>,
    /// Id of the load that it was for.
    pub load: Option<String>,
    /// Where; none if no place was ever said.
    pub place: Option<String>,
    /// Id of the entry that it takes back.
    pub reverses: Option<String>,
    /// Its number in the chain, from 1; 0 for entries from before the chain.
    pub sequence: i64,
    /// Hash of this entry and all before it.
    pub hash: String,
    /// The bakery's clock, on which its instants are shown.
    pub zone: TimeZone,
}

/// Ledger entries of a shop, or of one lot of it, after an id, oldest first.
///
/// # Errors
/// [`Refusal::Store`]
pub fn movements(
    tx: &mut Tx,
    site: &str,
    zone: &TimeZone,
    lot: Option<&str>,
    (after, limit): (&str, i64),
) -> Result<Vec<MovementHeld>, Refusal> {
    let mut units: BTreeMap<String, Unit> = BTreeMap::new();
    let mut found = Vec::new();
    for entry in rows::list(tx, site, lot, after, limit)? {
        let unit = match units.get(&entry.lot) {
            Some(&unit) => unit,
            None => stock::unit_of(&stock::row(tx, site, &entry.lot)?.unit)?,
        };
        units.insert(entry.lot.clone(), unit);
        found.push(held_movement(entry, unit, zone)?);
    }
    Ok(found)
}

pub(super) fn held_movement(
    row: MovementRow,
    unit: Unit,
    zone: &TimeZone,
) -> Result<MovementHeld, StoreError> {
    let MovementRow {
        site: _,
        id,
        lot,
        kind,
        amount_micro,
        happened_at,
        recorded_at,
        reason,
        who,
        document,
        load,
        place,
        reverses,
        sequence,
        previous_hash: _,
        hash,
    } = row;
    Ok(MovementHeld {
        id,
        lot,
        kind,
        amount_micro,
        unit,
        happened_at: instant::read(&happened_at)?,
        recorded_at: instant::read(&recorded_at)?,
        reason,
        who,
        document,
        load,
        place: Some(place).filter(|place| !place.is_empty()),
        reverses,
        sequence,
        hash,
        zone: zone.clone(),
    })
}
