//! What went into a stage of a load and what came out of it.

use super::{StoreError, Tx, schema::yield_observations};
use diesel::prelude::*;

/// One load at one stage.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = yield_observations, treat_none_as_default_value = false)]
pub struct YieldRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// The formula or product.
    pub code: String,
    /// The stage, as its loss chain names it.
    pub stage: String,
    /// The load.
    pub load: String,
    /// What went in, in millionths of grams or pieces.
    pub in_micro: i64,
    /// What came out, in the same unit.
    pub out_micro: i64,
    /// When, RFC 3339 in UTC.
    pub happened_at: String,
    /// When it was written down, RFC 3339 in UTC.
    pub recorded_at: String,
    /// Who saw it.
    pub who: Option<String>,
}

/// All that was seen, by code and stage, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn list(tx: &mut Tx, site: &str) -> Result<Vec<YieldRow>, StoreError> {
    let of_site = yield_observations::table.filter(yield_observations::site.eq(site));
    let order = (yield_observations::code, yield_observations::stage, yield_observations::id);
    Ok(of_site.order(order).load(tx)?)
}

/// Adds what was seen.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &YieldRow) -> Result<(), StoreError> {
    diesel::insert_into(yield_observations::table).values(row).execute(tx)?;
    Ok(())
}
