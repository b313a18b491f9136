//! What happened to loads: append-only.

use super::{StoreError, Tx, schema::load_events};
use diesel::prelude::*;

/// One step of a load.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = load_events, treat_none_as_default_value = false)]
pub struct LoadEventRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// Which load.
    pub load_id: String,
    /// `released`, `weighed`, …, or `count-back`.
    pub step: String,
    /// Who did it.
    pub who: String,
    /// When, RFC 3339 in UTC.
    pub happened_at: String,
    /// When it was written down, RFC 3339 in UTC.
    pub recorded_at: String,
    /// What was written down, as JSON.
    pub body: String,
    /// A remark.
    pub note: Option<String>,
    /// The plan revision that it made.
    pub plan_revision: i64,
}

/// All that happened to a load, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn list(tx: &mut Tx, site: &str, load_id: &str) -> Result<Vec<LoadEventRow>, StoreError> {
    Ok(load_events::table
        .filter(load_events::site.eq(site))
        .filter(load_events::load_id.eq(load_id))
        .order(load_events::id)
        .load(tx)?)
}

/// Adds a step.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &LoadEventRow) -> Result<(), StoreError> {
    diesel::insert_into(load_events::table).values(row).execute(tx)?;
    Ok(())
}
