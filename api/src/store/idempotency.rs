//! Answers kept for safe retries.

use super::{StoreError, Tx, schema::idempotency};
use diesel::prelude::*;

/// An answer that was given, with the request it answered.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = idempotency, treat_none_as_default_value = false)]
pub struct AnswerRow {
    /// The shop.
    pub site: String,
    /// The client's key.
    pub idempotency_key: String,
    /// A digest of method, path and body.
    pub fingerprint: String,
    /// HTTP status.
    pub status: i32,
    /// Entity tag, if one was sent.
    pub etag: Option<String>,
    /// The body, as it was sent.
    pub body: String,
    /// When it was given.
    pub created_at: String,
}

/// The answer given under a key.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str, key: &str) -> Result<Option<AnswerRow>, StoreError> {
    Ok(idempotency::table
        .filter(idempotency::site.eq(site))
        .filter(idempotency::idempotency_key.eq(key))
        .get_result(tx)
        .optional()?)
}

/// Keeps an answer.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &AnswerRow) -> Result<(), StoreError> {
    diesel::insert_into(idempotency::table).values(row).execute(tx)?;
    Ok(())
}
