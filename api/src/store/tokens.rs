//! Tokens, by their digest.

use super::{StoreError, Tx, schema::tokens};
use diesel::prelude::*;

/// One token; the secret itself is nowhere.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = tokens, treat_none_as_default_value = false)]
pub struct TokenRow {
    /// The shop.
    pub site: String,
    /// Its UUID, the open part of the token.
    pub id: String,
    /// Who uses it: a till, a tablet, a person.
    pub name: String,
    /// The word of its job.
    pub job: String,
    /// SHA-256 of the secret, in hexadecimal.
    pub secret_hash: String,
    /// When it was made, RFC 3339 in UTC.
    pub made_at: String,
    /// From when on it opens nothing, RFC 3339 in UTC; `None` if it does not expire.
    pub expires_at: Option<String>,
    /// When it was revoked, RFC 3339 in UTC.
    pub revoked_at: Option<String>,
}

/// A token.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str, id: &str) -> Result<Option<TokenRow>, StoreError> {
    Ok(tokens::table.find((site, id)).get_result(tx).optional()?)
}

/// All tokens of a shop, in the order in which they were made.
///
/// # Errors
/// [`StoreError`]
pub fn list(tx: &mut Tx, site: &str) -> Result<Vec<TokenRow>, StoreError> {
    Ok(tokens::table.filter(tokens::site.eq(site)).order(tokens::id).load(tx)?)
}

/// Whether a token was ever made for a shop.
///
/// # Errors
/// [`StoreError`]
pub fn exist(tx: &mut Tx, site: &str) -> Result<bool, StoreError> {
    let any = tokens::table.filter(tokens::site.eq(site));
    Ok(diesel::select(diesel::dsl::exists(any)).get_result(tx)?)
}

/// Keeps a new token.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &TokenRow) -> Result<(), StoreError> {
    diesel::insert_into(tokens::table).values(row).execute(tx)?;
    Ok(())
}

/// Sets the end of a token's life.
///
/// # Errors
/// [`StoreError`]
pub fn set_expiry(tx: &mut Tx, site: &str, id: &str, expires_at: &str) -> Result<(), StoreError> {
    diesel::update(tokens::table.find((site, id)))
        .set(tokens::expires_at.eq(expires_at))
        .execute(tx)?;
    Ok(())
}

/// Revokes a token from an instant on.
///
/// # Errors
/// [`StoreError`]
pub fn revoke(tx: &mut Tx, site: &str, id: &str, at: &str) -> Result<(), StoreError> {
    diesel::update(tokens::table.find((site, id))).set(tokens::revoked_at.eq(at)).execute(tx)?;
    Ok(())
}
