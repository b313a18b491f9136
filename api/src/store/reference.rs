//! Reference data: one row per record, its body kept as canonical JSON.
//!
//! Reference data is always read whole, to compile the bakery, and never queried by
//! a field; so one table of bodies serves every noun, a new field needs no migration,
//! and what was put is what is read, byte for byte. `position` keeps the bakery's own
//! order of each list, which decides ties.

use super::{StoreError, Tx, schema::reference};
use diesel::prelude::*;

/// One record.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = reference, treat_none_as_default_value = false)]
pub struct ReferenceRow {
    /// The shop.
    pub site: String,
    /// Which list it belongs to.
    pub noun: String,
    /// Its name.
    pub code: String,
    /// First date for which it holds; empty if it is not dated.
    pub valid_from: String,
    /// Its place in the list.
    pub position: i64,
    /// Its body as canonical JSON.
    pub body: String,
    /// A digest of the body.
    pub etag: String,
}

/// All records of a shop, each list in its own order.
///
/// # Errors
/// [`StoreError`]
pub fn list_all(tx: &mut Tx, site: &str) -> Result<Vec<ReferenceRow>, StoreError> {
    Ok(reference::table
        .filter(reference::site.eq(site))
        .order((reference::noun, reference::position))
        .load(tx)?)
}

/// Records of one list from a position on, in order.
///
/// # Errors
/// [`StoreError`]
pub fn list(
    tx: &mut Tx,
    site: &str,
    noun: &str,
    after: i64,
    limit: i64,
) -> Result<Vec<ReferenceRow>, StoreError> {
    Ok(reference::table
        .filter(reference::site.eq(site))
        .filter(reference::noun.eq(noun))
        .filter(reference::position.gt(after))
        .order(reference::position)
        .limit(limit)
        .load(tx)?)
}

/// The versions of one record, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn find_versions(
    tx: &mut Tx,
    site: &str,
    noun: &str,
    code: &str,
) -> Result<Vec<ReferenceRow>, StoreError> {
    Ok(reference::table
        .filter(reference::site.eq(site))
        .filter(reference::noun.eq(noun))
        .filter(reference::code.eq(code))
        .order(reference::valid_from)
        .load(tx)?)
}

/// Adds a record.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &ReferenceRow) -> Result<(), StoreError> {
    diesel::insert_into(reference::table).values(row).execute(tx)?;
    Ok(())
}

/// Replaces the body of a record.
///
/// # Errors
/// [`StoreError`]
pub fn replace(tx: &mut Tx, row: &ReferenceRow) -> Result<(), StoreError> {
    let record = reference::table
        .filter(reference::site.eq(&row.site))
        .filter(reference::noun.eq(&row.noun))
        .filter(reference::code.eq(&row.code))
        .filter(reference::valid_from.eq(&row.valid_from));
    diesel::update(record)
        .set((reference::body.eq(&row.body), reference::etag.eq(&row.etag)))
        .execute(tx)?;
    Ok(())
}

/// The position after the last of a list.
///
/// # Errors
/// [`StoreError`]
pub fn next_position(tx: &mut Tx, site: &str, noun: &str) -> Result<i64, StoreError> {
    let last: Option<i64> = reference::table
        .filter(reference::site.eq(site))
        .filter(reference::noun.eq(noun))
        .select(diesel::dsl::max(reference::position))
        .get_result(tx)?;
    Ok(last.map_or(0, |position| position + 1))
}

/// Removes all records of a shop, to put a whole bakery in their place.
///
/// # Errors
/// [`StoreError`]
pub fn delete_all(tx: &mut Tx, site: &str) -> Result<(), StoreError> {
    diesel::delete(reference::table.filter(reference::site.eq(site))).execute(tx)?;
    Ok(())
}
