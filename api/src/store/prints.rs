//! What sheets said when they were served, once for each plan revision.

use super::{StoreError, Tx, schema::prints};
use diesel::prelude::*;

/// One sheet as it was served.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = prints, treat_none_as_default_value = false)]
pub struct PrintRow {
    /// The shop.
    pub site: String,
    /// For which local date.
    pub work_date: String,
    /// `weigh-out`, `pick-list`, …
    pub sheet: String,
    /// The plan revision that it stands for.
    pub plan_revision: i64,
    /// When it was first served, RFC 3339 in UTC.
    pub printed_at: String,
    /// Its lines, as JSON.
    pub body: String,
}

/// A print.
///
/// # Errors
/// [`StoreError`]
pub fn find(
    tx: &mut Tx,
    site: &str,
    (work_date, sheet, plan_revision): (&str, &str, i64),
) -> Result<Option<PrintRow>, StoreError> {
    Ok(prints::table
        .filter(prints::site.eq(site))
        .filter(prints::work_date.eq(work_date))
        .filter(prints::sheet.eq(sheet))
        .filter(prints::plan_revision.eq(plan_revision))
        .get_result(tx)
        .optional()?)
}

/// Sheets of a work date with their revision and the instant of their print, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn list(
    tx: &mut Tx,
    site: &str,
    work_date: &str,
) -> Result<Vec<(String, i64, String)>, StoreError> {
    Ok(prints::table
        .filter(prints::site.eq(site))
        .filter(prints::work_date.eq(work_date))
        .select((prints::sheet, prints::plan_revision, prints::printed_at))
        .order((prints::plan_revision, prints::sheet))
        .load(tx)?)
}

/// Forgets prints of work dates before one.
///
/// # Errors
/// [`StoreError`]
pub fn delete_before(tx: &mut Tx, site: &str, work_date: &str) -> Result<(), StoreError> {
    let old = prints::table.filter(prints::site.eq(site)).filter(prints::work_date.lt(work_date));
    diesel::delete(old).execute(tx)?;
    Ok(())
}

/// Keeps a print.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &PrintRow) -> Result<(), StoreError> {
    diesel::insert_into(prints::table).values(row).execute(tx)?;
    Ok(())
}
