//! What somebody read of allergens on the packs of lots.

use super::{StoreError, Tx, schema::pack_readings};
use diesel::prelude::*;

/// One reading.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = pack_readings, treat_none_as_default_value = false)]
pub struct PackReadingRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// Id of the lot.
    pub lot: String,
    /// What is in it, as a JSON list of words.
    pub contains: String,
    /// What may be in it, as a JSON list of words.
    pub may_contain: String,
    /// Which edition of the text it is.
    pub version: Option<String>,
    /// Where it was read.
    pub source: Option<String>,
    /// Who read it.
    pub who: Option<String>,
    /// When, RFC 3339 in UTC.
    pub happened_at: String,
}

/// All of a lot, oldest first: the last one holds.
///
/// # Errors
/// [`StoreError`]
pub fn of_lot(tx: &mut Tx, site: &str, lot: &str) -> Result<Vec<PackReadingRow>, StoreError> {
    let of_site = pack_readings::table.filter(pack_readings::site.eq(site));
    let found = of_site.filter(pack_readings::lot.eq(lot));
    Ok(found.order(pack_readings::id).load(tx)?)
}

/// Adds one.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &PackReadingRow) -> Result<(), StoreError> {
    diesel::insert_into(pack_readings::table).values(row).execute(tx)?;
    Ok(())
}
