//! Deliveries: one row for each notice that a webhook tells.

use super::{StoreError, Tx, schema::webhook_deliveries};
use diesel::prelude::*;

/// One delivery.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable, AsChangeset)]
#[diesel(table_name = webhook_deliveries, treat_none_as_null = true)]
pub struct WebhookDeliveryRow {
    /// The shop.
    pub site: String,
    /// Its UUID, the same at each try; ids sort as the notices do.
    pub id: String,
    /// Code of the webhook.
    pub webhook: String,
    /// Number of the notice.
    pub notice: i64,
    /// The word of its state.
    pub state: String,
    /// Tries so far.
    pub tries: i64,
    /// When it is tried next, RFC 3339 in UTC.
    pub next_try_at: String,
    /// Until when one server has it to itself, RFC 3339 in UTC.
    pub leased_until: String,
    /// When it was delivered or given up, RFC 3339 in UTC.
    pub settled_at: Option<String>,
    /// HTTP status of the last answer.
    pub last_status: Option<i32>,
    /// What went wrong at the last try, in words.
    pub last_words: Option<String>,
}

/// A delivery by its id.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str, id: &str) -> Result<Option<WebhookDeliveryRow>, StoreError> {
    Ok(webhook_deliveries::table.find((site, id)).get_result(tx).optional()?)
}

/// Deliveries of a state, or of any, before an id, newest first; at most `limit`.
///
/// # Errors
/// [`StoreError`]
pub fn list(
    tx: &mut Tx,
    site: &str,
    state: Option<&str>,
    (before, limit): (Option<&str>, i64),
) -> Result<Vec<WebhookDeliveryRow>, StoreError> {
    let mut rows = webhook_deliveries::table.filter(webhook_deliveries::site.eq(site)).into_boxed();
    if let Some(state) = state {
        rows = rows.filter(webhook_deliveries::state.eq(state.to_owned()));
    }
    if let Some(before) = before {
        rows = rows.filter(webhook_deliveries::id.lt(before.to_owned()));
    }
    Ok(rows.order(webhook_deliveries::id.desc()).limit(limit).load(tx)?)
}

/// Deliveries of a webhook and state whose time has come and that nobody has; at most `limit`.
///
/// # Errors
/// [`StoreError`]
pub fn due(
    tx: &mut Tx,
    site: &str,
    (webhook, state): (&str, &str),
    (now, limit): (&str, i64),
) -> Result<Vec<WebhookDeliveryRow>, StoreError> {
    Ok(webhook_deliveries::table
        .filter(webhook_deliveries::site.eq(site))
        .filter(webhook_deliveries::state.eq(state))
        .filter(webhook_deliveries::webhook.eq(webhook))
        .filter(webhook_deliveries::next_try_at.le(now))
        .filter(webhook_deliveries::leased_until.le(now))
        .order((webhook_deliveries::next_try_at, webhook_deliveries::id))
        .limit(limit)
        .load(tx)?)
}

/// How many deliveries each webhook has of a state.
///
/// # Errors
/// [`StoreError`]
pub fn count(tx: &mut Tx, site: &str, state: &str) -> Result<Vec<(String, i64)>, StoreError> {
    Ok(webhook_deliveries::table
        .filter(webhook_deliveries::site.eq(site))
        .filter(webhook_deliveries::state.eq(state))
        .group_by(webhook_deliveries::webhook)
        .select((webhook_deliveries::webhook, diesel::dsl::count_star()))
        .load(tx)?)
}

/// Keeps a new delivery.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &WebhookDeliveryRow) -> Result<(), StoreError> {
    diesel::insert_into(webhook_deliveries::table).values(row).execute(tx)?;
    Ok(())
}

/// Keeps what became of a delivery.
///
/// # Errors
/// [`StoreError`]
pub fn keep(tx: &mut Tx, row: &WebhookDeliveryRow) -> Result<(), StoreError> {
    diesel::update(webhook_deliveries::table.find((&row.site, &row.id))).set(row).execute(tx)?;
    Ok(())
}

/// Forgets deliveries of a state that were settled before an instant.
///
/// # Errors
/// [`StoreError`]
pub fn forget(tx: &mut Tx, site: &str, state: &str, before: &str) -> Result<(), StoreError> {
    diesel::delete(webhook_deliveries::table)
        .filter(webhook_deliveries::site.eq(site))
        .filter(webhook_deliveries::state.eq(state))
        .filter(webhook_deliveries::settled_at.lt(before))
        .execute(tx)?;
    Ok(())
}
