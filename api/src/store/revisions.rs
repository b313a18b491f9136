//! Plan revisions: what made each of them.

use super::{StoreError, Tx, schema::revisions};
use diesel::prelude::*;

/// One plan revision.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = revisions, treat_none_as_default_value = false)]
pub struct RevisionRow {
    /// The shop.
    pub site: String,
    /// Its number.
    pub plan_revision: i64,
    /// When it was made, RFC 3339 in UTC.
    pub made_at: String,
    /// What made it, in words.
    pub cause: String,
}

/// Revisions before a number, newest first; at most `limit`.
///
/// # Errors
/// [`StoreError`]
pub fn list(
    tx: &mut Tx,
    site: &str,
    before: i64,
    limit: i64,
) -> Result<Vec<RevisionRow>, StoreError> {
    Ok(revisions::table
        .filter(revisions::site.eq(site))
        .filter(revisions::plan_revision.lt(before))
        .order(revisions::plan_revision.desc())
        .limit(limit)
        .load(tx)?)
}

/// Adds one.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &RevisionRow) -> Result<(), StoreError> {
    diesel::insert_into(revisions::table).values(row).execute(tx)?;
    Ok(())
}
