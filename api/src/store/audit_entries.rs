//! Who wrote what: one row for each write that was answered. The database refuses to change one.

use super::{StoreError, Tx, schema::audit_entries};
use diesel::prelude::*;

/// One write.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = audit_entries, treat_none_as_default_value = false)]
pub struct AuditRow {
    /// The shop.
    pub site: String,
    /// Its UUID; ids sort as the rows were written.
    pub id: String,
    /// When, RFC 3339 in UTC.
    pub written_at: String,
    /// The name on the token, or what asked without one.
    pub who: String,
    /// The token, if one was shown.
    pub token_id: Option<String>,
    /// HTTP method.
    pub method: String,
    /// Path of the request.
    pub path: String,
    /// HTTP status of the answer.
    pub status: i32,
    /// The name of the request in the log.
    pub request_id: String,
}

/// Rows before an id, newest first; at most `limit`.
///
/// # Errors
/// [`StoreError`]
pub fn list(
    tx: &mut Tx,
    site: &str,
    before: Option<&str>,
    limit: i64,
) -> Result<Vec<AuditRow>, StoreError> {
    let mut rows = audit_entries::table.filter(audit_entries::site.eq(site)).into_boxed();
    if let Some(before) = before {
        rows = rows.filter(audit_entries::id.lt(before.to_owned()));
    }
    Ok(rows.order(audit_entries::id.desc()).limit(limit).load(tx)?)
}

/// Keeps a row.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &AuditRow) -> Result<(), StoreError> {
    diesel::insert_into(audit_entries::table).values(row).execute(tx)?;
    Ok(())
}
