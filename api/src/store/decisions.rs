//! What was decided where there is too little: append-only; an entry can take another back.

use super::{StoreError, Tx, schema::decisions};
use diesel::prelude::*;

/// One entry.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = decisions, treat_none_as_default_value = false)]
pub struct DecisionRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// For which local date.
    pub service_date: String,
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
pub fn list_from(tx: &mut Tx, site: &str, from: &str) -> Result<Vec<DecisionRow>, StoreError> {
    Ok(decisions::table
        .filter(decisions::site.eq(site))
        .filter(decisions::service_date.ge(from))
        .order(decisions::id)
        .load(tx)?)
}

/// All entries of one service date, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn list(tx: &mut Tx, site: &str, service_date: &str) -> Result<Vec<DecisionRow>, StoreError> {
    Ok(decisions::table
        .filter(decisions::site.eq(site))
        .filter(decisions::service_date.eq(service_date))
        .order(decisions::id)
        .load(tx)?)
}

/// An entry by its id.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str, id: &str) -> Result<Option<DecisionRow>, StoreError> {
    let own = decisions::table.filter(decisions::site.eq(site)).filter(decisions::id.eq(id));
    Ok(own.get_result(tx).optional()?)
}

/// Adds an entry.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &DecisionRow) -> Result<(), StoreError> {
    diesel::insert_into(decisions::table).values(row).execute(tx)?;
    Ok(())
}
