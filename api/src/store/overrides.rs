//! What people set by hand: append-only, the last entry holds.

use super::{StoreError, Tx, schema::overrides};
use diesel::prelude::*;

/// One entry.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = overrides, treat_none_as_default_value = false)]
pub struct OverrideRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// For which local date.
    pub service_date: String,
    /// `loads`, `mixer`, …
    pub kind: String,
    /// Code of the product or formula.
    pub code: String,
    /// What was set; none takes it back.
    pub value: Option<String>,
    /// Why.
    pub note: String,
    /// By whom.
    pub who: String,
    /// When it was written down, RFC 3339 in UTC.
    pub recorded_at: String,
    /// The plan revision that it made.
    pub plan_revision: i64,
}

/// All entries of service dates from a date on, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn list_from(tx: &mut Tx, site: &str, from: &str) -> Result<Vec<OverrideRow>, StoreError> {
    Ok(overrides::table
        .filter(overrides::site.eq(site))
        .filter(overrides::service_date.ge(from))
        .order(overrides::id)
        .load(tx)?)
}

/// All entries of one service date, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn list(tx: &mut Tx, site: &str, service_date: &str) -> Result<Vec<OverrideRow>, StoreError> {
    Ok(overrides::table
        .filter(overrides::site.eq(site))
        .filter(overrides::service_date.eq(service_date))
        .order(overrides::id)
        .load(tx)?)
}

/// Adds an entry.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &OverrideRow) -> Result<(), StoreError> {
    diesel::insert_into(overrides::table).values(row).execute(tx)?;
    Ok(())
}
