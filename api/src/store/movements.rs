//! The stock ledger: movements, append-only, each chained to the one before it.

use super::{
    StoreError, Tx,
    schema::{ledger_heads, movements},
};
use diesel::prelude::*;
use std::collections::BTreeMap;

/// One entry of the ledger.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = movements, treat_none_as_default_value = false)]
pub struct MovementRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// The lot that moved.
    pub lot: String,
    /// The word of what happened.
    pub kind: String,
    /// What it adds to the lot, in millionths of the base unit.
    pub amount_micro: i64,
    /// When it happened, RFC 3339 in UTC.
    pub happened_at: String,
    /// When it was written down, RFC 3339 in UTC.
    pub recorded_at: String,
    /// Why.
    pub reason: Option<String>,
    /// Who did it.
    pub who: Option<String>,
    /// The document behind it.
    pub document: Option<String>,
    /// Id of the load it was for.
    pub load: Option<String>,
    /// Where it happened; empty if no place was ever said.
    pub place: String,
    /// Id of the entry that it takes back.
    pub reverses: Option<String>,
    /// Its number in the shop's chain, from 1; 0 for entries from before the chain.
    pub sequence: i64,
    /// Hash of the entry before it.
    pub previous_hash: String,
    /// Hash of this entry and the one before it.
    pub hash: String,
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

/// An entry by its id.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str, id: &str) -> Result<Option<MovementRow>, StoreError> {
    let found = movements::table.filter(movements::site.eq(site)).filter(movements::id.eq(id));
    Ok(found.get_result(tx).optional()?)
}

/// The entry that takes another one back, if there is one.
///
/// # Errors
/// [`StoreError`]
pub fn reversal(tx: &mut Tx, site: &str, id: &str) -> Result<Option<MovementRow>, StoreError> {
    let found =
        movements::table.filter(movements::site.eq(site)).filter(movements::reverses.eq(id));
    Ok(found.first(tx).optional()?)
}

/// The entries of one document, in the order in which they were written.
///
/// # Errors
/// [`StoreError`]
pub fn of_document(
    tx: &mut Tx,
    site: &str,
    document: &str,
) -> Result<Vec<MovementRow>, StoreError> {
    let found =
        movements::table.filter(movements::site.eq(site)).filter(movements::document.eq(document));
    Ok(found.order(movements::id).load(tx)?)
}

/// The entries of one load, in the order in which they were written.
///
/// # Errors
/// [`StoreError`]
pub fn of_load(tx: &mut Tx, site: &str, load: &str) -> Result<Vec<MovementRow>, StoreError> {
    let found = movements::table.filter(movements::site.eq(site)).filter(movements::load.eq(load));
    Ok(found.order(movements::id).load(tx)?)
}

/// The entries of one kind that happened from one instant up to another, by instant.
///
/// # Errors
/// [`StoreError`]
pub fn of_kind(
    tx: &mut Tx,
    site: &str,
    kind: &str,
    (from, before): (&str, &str),
) -> Result<Vec<MovementRow>, StoreError> {
    Ok(movements::table
        .filter(movements::site.eq(site))
        .filter(movements::kind.eq(kind))
        .filter(movements::happened_at.ge(from))
        .filter(movements::happened_at.lt(before))
        .order((movements::happened_at, movements::id))
        .load(tx)?)
}

/// Ids of the entries that were taken back.
///
/// # Errors
/// [`StoreError`]
pub fn reversed(tx: &mut Tx, site: &str) -> Result<Vec<String>, StoreError> {
    let ids: Vec<Option<String>> = movements::table
        .filter(movements::site.eq(site))
        .filter(movements::kind.eq("correct"))
        .select(movements::reverses)
        .load(tx)?;
    Ok(ids.into_iter().flatten().collect())
}

/// Entries of the chain after a number, in its order.
///
/// # Errors
/// [`StoreError`]
pub fn chain(
    tx: &mut Tx,
    site: &str,
    after: i64,
    limit: i64,
) -> Result<Vec<MovementRow>, StoreError> {
    Ok(movements::table
        .filter(movements::site.eq(site))
        .filter(movements::sequence.gt(after))
        .order(movements::sequence)
        .limit(limit)
        .load(tx)?)
}

/// Entries from before the chain, after an id, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn before_chain(
    tx: &mut Tx,
    site: &str,
    after: &str,
    limit: i64,
) -> Result<Vec<MovementRow>, StoreError> {
    Ok(movements::table
        .filter(movements::site.eq(site))
        .filter(movements::sequence.le(0))
        .filter(movements::id.gt(after))
        .order(movements::id)
        .limit(limit)
        .load(tx)?)
}

/// Number and hash of the last entry of the chain, as they were noted when it was written.
///
/// # Errors
/// [`StoreError`]
pub fn head(tx: &mut Tx, site: &str) -> Result<Option<(i64, String)>, StoreError> {
    Ok(ledger_heads::table
        .filter(ledger_heads::site.eq(site))
        .select((ledger_heads::sequence, ledger_heads::hash))
        .get_result(tx)
        .optional()?)
}

/// Adds an entry and makes it the last of its chain.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &MovementRow) -> Result<(), StoreError> {
    // The head first: two writers on a server meet at its row, where the second is told to
    // try again, and not at the index of sequences, where it would only fail.
    let head = (ledger_heads::sequence.eq(row.sequence), ledger_heads::hash.eq(&row.hash));
    let of_site = ledger_heads::table.filter(ledger_heads::site.eq(&row.site));
    if diesel::update(of_site).set(head).execute(tx)? == 0 {
        diesel::insert_into(ledger_heads::table)
            .values((ledger_heads::site.eq(&row.site), head))
            .execute(tx)?;
    }
    diesel::insert_into(movements::table).values(row).execute(tx)?;
    Ok(())
}

/// The sum of every lot at every place, from all its movements.
///
/// Added here, because a database's sum of BIGINT is not exact on both dialects.
///
/// # Errors
/// [`StoreError`]
pub fn sums(tx: &mut Tx, site: &str) -> Result<BTreeMap<(String, String), i64>, StoreError> {
    let entries: Vec<(String, String, i64)> = movements::table
        .filter(movements::site.eq(site))
        .select((movements::lot, movements::place, movements::amount_micro))
        .load(tx)?;
    let mut sums = BTreeMap::new();
    for (lot, place, amount_micro) in entries {
        let sum: &mut i64 = sums.entry((lot, place)).or_default();
        *sum = sum.checked_add(amount_micro).ok_or(StoreError::Corrupt("balance"))?;
    }
    Ok(sums)
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
    amounts.into_iter().try_fold(0_i64, i64::checked_add).ok_or(StoreError::Corrupt("balance"))
}

/// The balance of one lot at one place from movements that happened up to an instant.
///
/// # Errors
/// [`StoreError`]
pub fn balance_of_place_at(
    tx: &mut Tx,
    site: &str,
    (lot, place): (&str, &str),
    until: &str,
) -> Result<i64, StoreError> {
    let amounts: Vec<i64> = movements::table
        .filter(movements::site.eq(site))
        .filter(movements::lot.eq(lot))
        .filter(movements::place.eq(place))
        .filter(movements::happened_at.le(until))
        .select(movements::amount_micro)
        .load(tx)?;
    amounts.into_iter().try_fold(0_i64, i64::checked_add).ok_or(StoreError::Corrupt("balance"))
}
