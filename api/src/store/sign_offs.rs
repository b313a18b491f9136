//! Substitutes that a person signed for: append-only; an entry can take another back.

use super::{StoreError, Tx, schema::sign_offs};
use diesel::prelude::*;

/// One entry.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = sign_offs, treat_none_as_default_value = false)]
pub struct SignOffRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// For which local date.
    pub service_date: String,
    /// Which substitute.
    pub substitute: String,
    /// What was decided, as JSON.
    pub body: String,
    /// Why.
    pub note: String,
    /// By whom.
    pub who: String,
    /// When it was written down, RFC 3339 in UTC.
    pub recorded_at: String,
    /// The plan revision that it made.
    pub plan_revision: i64,
    /// The entry that it takes back, if it does nothing else.
    pub takes_back: Option<String>,
}

/// All entries of service dates from a date on, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn list_from(tx: &mut Tx, site: &str, from: &str) -> Result<Vec<SignOffRow>, StoreError> {
    Ok(sign_offs::table
        .filter(sign_offs::site.eq(site))
        .filter(sign_offs::service_date.ge(from))
        .order(sign_offs::id)
        .load(tx)?)
}

/// All entries of one service date, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn list(tx: &mut Tx, site: &str, service_date: &str) -> Result<Vec<SignOffRow>, StoreError> {
    Ok(sign_offs::table
        .filter(sign_offs::site.eq(site))
        .filter(sign_offs::service_date.eq(service_date))
        .order(sign_offs::id)
        .load(tx)?)
}

/// An entry by its id.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str, id: &str) -> Result<Option<SignOffRow>, StoreError> {
    let own = sign_offs::table.filter(sign_offs::site.eq(site)).filter(sign_offs::id.eq(id));
    Ok(own.get_result(tx).optional()?)
}

/// Adds an entry.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &SignOffRow) -> Result<(), StoreError> {
    diesel::insert_into(sign_offs::table).values(row).execute(tx)?;
    Ok(())
}
