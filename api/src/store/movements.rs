//! The stock ledger: movements, append-only. A balance is their sum.

use super::{StoreError, Tx, schema::movements};
use diesel::prelude::*;
use std::collections::BTreeMap;

/// One entry of the ledger.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = movements)]
pub struct MovementRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// The lot that moved.
    pub lot: String,
    /// `receive`, `count`, …
    pub kind: String,
    /// What it adds to the lot, in millionths of the base unit.
    pub amount_micro: i64,
    /// When it happened, RFC 3339 in UTC.
    pub happened_at: String,
    /// When it was written down, RFC 3339 in UTC.
    pub recorded_at: String,
    /// Why.
    pub reason: Option<String>,
}

/// Movements of a shop, or of one lot of it, after an id, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn list(
    tx: &mut Tx,
    site: &str,
    lot: Option<&str>,
    after: &str,
    limit: i64,
) -> Result<Vec<MovementRow>, StoreError> {
    let of_site = movements::site.eq(site).and(movements::id.gt(after));
    Ok(match lot {
        Some(lot) => movements::table
            .filter(of_site)
            .filter(movements::lot.eq(lot))
            .order(movements::id)
            .limit(limit)
            .load(tx)?,
        None => movements::table.filter(of_site).order(movements::id).limit(limit).load(tx)?,
    })
}

/// Adds an entry.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &MovementRow) -> Result<(), StoreError> {
    diesel::insert_into(movements::table).values(row).execute(tx)?;
    Ok(())
}

/// The balance of every lot that ever moved, in millionths of its base unit.
///
/// Added here, because a database's sum of BIGINT is not exact on both dialects.
///
/// # Errors
/// [`StoreError`]
pub fn balances(tx: &mut Tx, site: &str) -> Result<BTreeMap<String, i64>, StoreError> {
    let entries: Vec<(String, i64)> = movements::table
        .filter(movements::site.eq(site))
        .select((movements::lot, movements::amount_micro))
        .load(tx)?;
    let mut balances = BTreeMap::new();
    for (lot, amount_micro) in entries {
        let balance: &mut i64 = balances.entry(lot).or_default();
        *balance = balance.checked_add(amount_micro).ok_or(StoreError::Corrupt("balance"))?;
    }
    Ok(balances)
}

/// When each lot was last counted (RFC 3339, UTC), by lot.
///
/// # Errors
/// [`StoreError`]
pub fn last_counts(tx: &mut Tx, site: &str) -> Result<BTreeMap<String, String>, StoreError> {
    let counts: Vec<(String, String)> = movements::table
        .filter(movements::site.eq(site))
        .filter(movements::kind.eq("count"))
        .order((movements::happened_at, movements::id))
        .select((movements::lot, movements::happened_at))
        .load(tx)?;
    // In order of time: the last one of a lot stays.
    Ok(counts.into_iter().collect())
}

/// The balance of one lot from all its movements, in millionths of its base unit.
///
/// # Errors
/// [`StoreError`]
pub fn balance(tx: &mut Tx, site: &str, lot: &str) -> Result<i64, StoreError> {
    let amounts: Vec<i64> = movements::table
        .filter(movements::site.eq(site))
        .filter(movements::lot.eq(lot))
        .select(movements::amount_micro)
        .load(tx)?;
    sum(amounts)
}

/// The balance of one lot from movements that happened up to an instant (RFC 3339, UTC).
///
/// # Errors
/// [`StoreError`]
pub fn balance_at(tx: &mut Tx, site: &str, lot: &str, until: &str) -> Result<i64, StoreError> {
    let amounts: Vec<i64> = movements::table
        .filter(movements::site.eq(site))
        .filter(movements::lot.eq(lot))
        .filter(movements::happened_at.le(until))
        .select(movements::amount_micro)
        .load(tx)?;
    sum(amounts)
}

fn sum(amounts: Vec<i64>) -> Result<i64, StoreError> {
    amounts.into_iter().try_fold(0_i64, i64::checked_add).ok_or(StoreError::Corrupt("balance"))
}
