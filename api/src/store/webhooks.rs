//! Webhooks and the secrets that they are signed with.

use super::{
    StoreError, Tx,
    schema::{webhook_secrets, webhooks},
};
use diesel::prelude::*;

/// One webhook.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable, AsChangeset)]
#[diesel(table_name = webhooks, treat_none_as_default_value = false)]
pub struct WebhookRow {
    /// The shop.
    pub site: String,
    /// Its code.
    pub code: String,
    /// Where it posts to.
    pub url: String,
    /// The words of the kinds that it tells of, joined by spaces.
    pub kinds: String,
    /// Whether it tells at all.
    pub active: bool,
    /// The number of the last notice for which deliveries were made.
    pub told_up_to: i64,
}

/// A secret of a webhook.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = webhook_secrets, treat_none_as_default_value = false)]
pub struct WebhookSecretRow {
    /// The shop.
    pub site: String,
    /// Its UUID; ids sort as secrets were made.
    pub id: String,
    /// Code of the webhook.
    pub webhook: String,
    /// The secret, in base64.
    pub secret: String,
    /// When it was made, RFC 3339 in UTC.
    pub made_at: String,
    /// From when on nothing is signed with it, RFC 3339 in UTC.
    pub ends_at: Option<String>,
}

/// A webhook by its code.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str, code: &str) -> Result<Option<WebhookRow>, StoreError> {
    Ok(webhooks::table.find((site, code)).get_result(tx).optional()?)
}

/// All webhooks of a shop, by code.
///
/// # Errors
/// [`StoreError`]
pub fn list(tx: &mut Tx, site: &str) -> Result<Vec<WebhookRow>, StoreError> {
    Ok(webhooks::table.filter(webhooks::site.eq(site)).order(webhooks::code).load(tx)?)
}

/// Keeps a webhook in the place of the one before.
///
/// # Errors
/// [`StoreError`]
pub fn keep(tx: &mut Tx, row: &WebhookRow) -> Result<(), StoreError> {
    let held = webhooks::table.find((&row.site, &row.code));
    if diesel::update(held).set(row).execute(tx)? == 0 {
        diesel::insert_into(webhooks::table).values(row).execute(tx)?;
    }
    Ok(())
}

/// All secrets of a webhook, the newest first.
///
/// # Errors
/// [`StoreError`]
pub fn secrets(
    tx: &mut Tx,
    site: &str,
    webhook: &str,
) -> Result<Vec<WebhookSecretRow>, StoreError> {
    Ok(webhook_secrets::table
        .filter(webhook_secrets::site.eq(site))
        .filter(webhook_secrets::webhook.eq(webhook))
        .order(webhook_secrets::id.desc())
        .load(tx)?)
}

/// Keeps a new secret.
///
/// # Errors
/// [`StoreError`]
pub fn add_secret(tx: &mut Tx, row: &WebhookSecretRow) -> Result<(), StoreError> {
    diesel::insert_into(webhook_secrets::table).values(row).execute(tx)?;
    Ok(())
}

/// Sets the end of all secrets of a webhook that have none or a later one.
///
/// # Errors
/// [`StoreError`]
pub fn end_secrets(tx: &mut Tx, site: &str, webhook: &str, at: &str) -> Result<(), StoreError> {
    let later = webhook_secrets::ends_at.is_null().or(webhook_secrets::ends_at.gt(at));
    diesel::update(webhook_secrets::table)
        .filter(webhook_secrets::site.eq(site))
        .filter(webhook_secrets::webhook.eq(webhook))
        .filter(later)
        .set(webhook_secrets::ends_at.eq(at))
        .execute(tx)?;
    Ok(())
}

/// Forgets secrets that nothing is signed with any more.
///
/// # Errors
/// [`StoreError`]
pub fn forget_secrets(tx: &mut Tx, site: &str, before: &str) -> Result<(), StoreError> {
    diesel::delete(webhook_secrets::table)
        .filter(webhook_secrets::site.eq(site))
        .filter(webhook_secrets::ends_at.le(before))
        .execute(tx)?;
    Ok(())
}
