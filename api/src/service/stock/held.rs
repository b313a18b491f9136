//! Stock as it is held: lots with their balance, balances of items, the ledger.

use super::Refusal;
use crate::{
    service::book::{date, instant_option, state_of, usage_of},
    store::{StoreError, Tx, instant, lots as rows, lots::LotRow, movements as ledger},
};
use domain::{
    lot::{LotState, LotUse},
    quantity::Unit,
};
use jiff::{Timestamp, civil::Date, tz::TimeZone};
use std::collections::BTreeMap;

/// A lot with what is left of it.
#[derive(Debug, Clone)]
pub struct LotHeld {
    /// UUID of version 7.
    pub id: String,
    /// The name on the pack.
    pub name: String,
    /// The item or product.
    pub item: String,
    /// Sum of its movements, in millionths of the base unit; may be negative.
    pub balance_micro: i64,
    /// The base unit.
    pub unit: Unit,
    /// Local date on which it came.
    pub received: Date,
    /// Never used after this date.
    pub use_by: Option<Date>,
    /// At its best until this date.
    pub best_before: Option<Date>,
    /// Last instant of use, where hours count.
    pub usable_until: Option<Timestamp>,
    /// Bake date of finished pieces.
    pub baked: Option<Date>,
    /// When it is put away, while it is expected.
    pub arrives: Option<Timestamp>,
    /// When it was mixed or built, if it was made here.
    pub made_at: Option<Timestamp>,
    /// Where it lies.
    pub place: Option<String>,
    /// Who sent it.
    pub supplier: Option<String>,
    /// What may be done with it.
    pub state: LotState,
    /// What finished pieces may be used for.
    pub usage: LotUse,
    /// Why it is on hold.
    pub hold_reason: Option<String>,
    /// The bakery's clock, on which its instants are shown.
    pub zone: TimeZone,
}

/// One entry of the ledger.
#[derive(Debug, Clone)]
pub struct MovementHeld {
    /// UUID of version 7.
    pub id: String,
    /// Id of the lot.
    pub lot: String,
    /// What happened: `receive`, `count`, `hold` or `release`.
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
    /// The bakery's clock, on which its instants are shown.
    pub zone: TimeZone,
}

/// The stock of one item or product, in millionths of its base unit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockRow {
    /// The item or product.
    pub item: String,
    /// The base unit.
    pub unit: Unit,
    /// In the house and released, by the book; may be negative.
    pub on_hand_micro: i64,
    /// In the house and held back.
    pub held_micro: i64,
    /// On its way.
    pub expected_micro: i64,
    /// Lots that are not used up.
    pub lots: i64,
}

/// The word of a lot state, in the store and on the wire.
pub(super) const fn state_word(state: LotState) -> &'static str {
    match state {
        LotState::Expected => "expected",
        LotState::Hold => "hold",
        LotState::Released => "released",
        LotState::Open => "open",
    }
}

/// The word of a lot use, in the store and on the wire.
pub(super) const fn usage_word(usage: LotUse) -> &'static str {
    match usage {
        LotUse::Any => "any",
        LotUse::Ingredient => "ingredient",
    }
}

impl LotHeld {
    /// The stable word of its state.
    #[must_use]
    pub const fn state_word(&self) -> &'static str {
        state_word(self.state)
    }

    /// The stable word of its use.
    #[must_use]
    pub const fn usage_word(&self) -> &'static str {
        usage_word(self.usage)
    }
}

/// A lot by its id.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn find_lot(tx: &mut Tx, site: &str, zone: &TimeZone, id: &str) -> Result<LotHeld, Refusal> {
    let row = row(tx, site, id)?;
    let balance = ledger::balance(tx, site, id)?;
    Ok(held_lot(row, balance, zone)?)
}

/// Lots of a shop, or of one item of it, after an id, oldest first; at most `limit`.
///
/// # Errors
/// [`Refusal::Store`]
pub fn lots(
    tx: &mut Tx,
    site: &str,
    zone: &TimeZone,
    item: Option<&str>,
    (after, limit): (&str, i64),
) -> Result<Vec<LotHeld>, Refusal> {
    let mut found = Vec::new();
    for row in rows::list(tx, site, item, after, limit)? {
        let balance = ledger::balance(tx, site, &row.id)?;
        found.push(held_lot(row, balance, zone)?);
    }
    Ok(found)
}

/// The balance of every item with stock, by code after a code; at most `limit`.
///
/// # Errors
/// [`Refusal::Store`]
pub fn stock(tx: &mut Tx, site: &str, after: &str, limit: i64) -> Result<Vec<StockRow>, Refusal> {
    let balances = ledger::balances(tx, site)?;
    let mut found: BTreeMap<String, StockRow> = BTreeMap::new();
    for lot in rows::list_all(tx, site)?.into_iter().filter(|lot| lot.item.as_str() > after) {
        let unit = unit_of(&lot.unit)?;
        let balance = balances.get(&lot.id).copied().unwrap_or(0);
        let row = found.entry(lot.item.clone()).or_insert_with(|| StockRow {
            item: lot.item.clone(),
            unit,
            on_hand_micro: 0,
            held_micro: 0,
            expected_micro: 0,
            lots: 0,
        });
        let sum = match state_of(&lot.state)? {
            LotState::Expected => &mut row.expected_micro,
            LotState::Hold => &mut row.held_micro,
            LotState::Released | LotState::Open => &mut row.on_hand_micro,
        };
        *sum = sum.checked_add(balance).ok_or(StoreError::Corrupt("balance"))?;
        row.lots += i64::from(balance != 0);
    }
    let limit = usize::try_from(limit).unwrap_or(0);
    Ok(found.into_values().take(limit).collect())
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
    for entry in ledger::list(tx, site, lot, after, limit)? {
        let unit = match units.get(&entry.lot) {
            Some(&unit) => unit,
            None => unit_of(&row(tx, site, &entry.lot)?.unit)?,
        };
        units.insert(entry.lot.clone(), unit);
        found.push(held_movement(entry, unit, zone)?);
    }
    Ok(found)
}

/// A lot's row.
pub(super) fn row(tx: &mut Tx, site: &str, id: &str) -> Result<LotRow, Refusal> {
    rows::find(tx, site, id)?.ok_or_else(|| Refusal::Unknown { noun: "lot", code: id.to_owned() })
}

fn held_movement(
    row: ledger::MovementRow,
    unit: Unit,
    zone: &TimeZone,
) -> Result<MovementHeld, StoreError> {
    let ledger::MovementRow {
        site: _,
        id,
        lot,
        kind,
        amount_micro,
        happened_at,
        recorded_at,
        reason,
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
        zone: zone.clone(),
    })
}

/// A lot from its row and balance.
pub(super) fn held_lot(
    row: LotRow,
    balance_micro: i64,
    zone: &TimeZone,
) -> Result<LotHeld, StoreError> {
    let LotRow {
        site: _,
        id,
        name,
        item,
        unit,
        received,
        use_by,
        best_before,
        usable_until,
        baked,
        arrives,
        place,
        supplier,
        state,
        usage,
        hold_reason,
        made_at,
    } = row;
    let date_option = |text: Option<String>| text.as_deref().map(date).transpose();
    Ok(LotHeld {
        id,
        name,
        item,
        balance_micro,
        unit: unit_of(&unit)?,
        received: date(&received)?,
        use_by: date_option(use_by)?,
        best_before: date_option(best_before)?,
        usable_until: instant_option(usable_until.as_deref())?,
        baked: date_option(baked)?,
        arrives: instant_option(arrives.as_deref())?,
        made_at: instant_option(made_at.as_deref())?,
        place,
        supplier,
        state: state_of(&state)?,
        usage: usage_of(&usage)?,
        hold_reason,
        zone: zone.clone(),
    })
}

fn unit_of(text: &str) -> Result<Unit, StoreError> {
    Unit::parse(text).map(|(unit, _)| unit).map_err(|_| StoreError::Corrupt("unit"))
}
