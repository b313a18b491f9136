//! Labels of product lots that a person confirmed.

use super::{StoreError, Tx, schema::label_confirmations};
use diesel::prelude::*;

/// One confirmation.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = label_confirmations, treat_none_as_default_value = false)]
pub struct LabelConfirmationRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// Id of the product lot.
    pub lot: String,
    /// What was added to the planned label, in words: it stands for nothing else.
    pub added: String,
    /// Who confirmed it.
    pub who: String,
    /// In own words.
    pub note: Option<String>,
    /// When, RFC 3339 in UTC.
    pub happened_at: String,
}

/// All of a lot, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn of_lot(tx: &mut Tx, site: &str, lot: &str) -> Result<Vec<LabelConfirmationRow>, StoreError> {
    let of_site = label_confirmations::table.filter(label_confirmations::site.eq(site));
    let found = of_site.filter(label_confirmations::lot.eq(lot));
    Ok(found.order(label_confirmations::id).load(tx)?)
}

/// Adds one.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &LabelConfirmationRow) -> Result<(), StoreError> {
    diesel::insert_into(label_confirmations::table).values(row).execute(tx)?;
    Ok(())
}
