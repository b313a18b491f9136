//! What was thrown away, and where it went.

use super::{StoreError, Tx, schema::wastes};
use diesel::prelude::*;

/// Something that was thrown away.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = wastes, treat_none_as_default_value = false)]
pub struct WasteRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// The ledger entry, if it came out of a lot.
    pub movement: Option<String>,
    /// The item or product.
    pub item: String,
    /// Its base unit.
    pub unit: String,
    /// How much, in millionths of the base unit; above nothing.
    pub amount_micro: i64,
    /// The code of the reason.
    pub reason: String,
    /// Where it was.
    pub place: Option<String>,
    /// The batch or load that it came from.
    pub batch: Option<String>,
    /// `bin`, `feed` or `donation`.
    pub route: String,
    /// When, RFC 3339 in UTC.
    pub happened_at: String,
    /// When it was written down, RFC 3339 in UTC.
    pub recorded_at: String,
    /// Who did it.
    pub who: Option<String>,
    /// In own words.
    pub note: Option<String>,
}

/// What was thrown away from one instant up to another, by instant.
///
/// # Errors
/// [`StoreError`]
pub fn list(
    tx: &mut Tx,
    site: &str,
    (from, before): (&str, &str),
) -> Result<Vec<WasteRow>, StoreError> {
    Ok(wastes::table
        .filter(wastes::site.eq(site))
        .filter(wastes::happened_at.ge(from))
        .filter(wastes::happened_at.lt(before))
        .order((wastes::happened_at, wastes::id))
        .load(tx)?)
}

/// Adds a record.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &WasteRow) -> Result<(), StoreError> {
    diesel::insert_into(wastes::table).values(row).execute(tx)?;
    Ok(())
}
