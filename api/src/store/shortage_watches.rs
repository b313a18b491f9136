//! Which shortages were told of last: one row a shop.

use super::{StoreError, Tx, schema::shortage_watches};
use diesel::prelude::*;

/// What was seen last.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable, AsChangeset)]
#[diesel(table_name = shortage_watches, treat_none_as_default_value = false)]
pub struct ShortageWatchRow {
    /// The shop.
    pub site: String,
    /// The plan revision that was looked at.
    pub plan_revision: i64,
    /// The moment of the plan, RFC 3339 in UTC.
    pub looked_at: String,
    /// What was short, as JSON.
    pub body: String,
}

/// The row of a shop.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str) -> Result<Option<ShortageWatchRow>, StoreError> {
    Ok(shortage_watches::table.find(site).get_result(tx).optional()?)
}

/// Keeps a row in the place of the one before.
///
/// # Errors
/// [`StoreError`]
pub fn keep(tx: &mut Tx, row: &ShortageWatchRow) -> Result<(), StoreError> {
    let changed = diesel::update(shortage_watches::table.find(&row.site)).set(row).execute(tx)?;
    if changed == 0 {
        diesel::insert_into(shortage_watches::table).values(row).execute(tx)?;
    }
    Ok(())
}
