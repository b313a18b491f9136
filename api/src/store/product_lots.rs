//! Lots of finished pieces: what they are, for which service date, and from which load.

use super::{StoreError, Tx, schema::product_lots};
use diesel::prelude::*;

/// One lot of pieces.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = product_lots, treat_none_as_default_value = false)]
pub struct ProductLotRow {
    /// The shop.
    pub site: String,
    /// Id of the lot.
    pub lot: String,
    /// Code of the product.
    pub product: String,
    /// For which local date.
    pub service_date: String,
    /// Id of the load that it was divided from.
    pub load: Option<String>,
    /// What its entries and those of what went into it carry as their document.
    pub document: String,
    /// Pieces that were begun.
    pub started: i64,
}

/// All of them from a service date on.
///
/// # Errors
/// [`StoreError`]
pub fn list_from(tx: &mut Tx, site: &str, from: &str) -> Result<Vec<ProductLotRow>, StoreError> {
    let of_site = product_lots::table.filter(product_lots::site.eq(site));
    let found = of_site.filter(product_lots::service_date.ge(from));
    Ok(found.order(product_lots::lot).load(tx)?)
}

/// All of them for a service date, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn of_date(tx: &mut Tx, site: &str, date: &str) -> Result<Vec<ProductLotRow>, StoreError> {
    let of_site = product_lots::table.filter(product_lots::site.eq(site));
    let found = of_site.filter(product_lots::service_date.eq(date));
    Ok(found.order(product_lots::lot).load(tx)?)
}

/// All of them from one load, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn of_load(tx: &mut Tx, site: &str, load: &str) -> Result<Vec<ProductLotRow>, StoreError> {
    let of_site = product_lots::table.filter(product_lots::site.eq(site));
    Ok(of_site.filter(product_lots::load.eq(load)).order(product_lots::lot).load(tx)?)
}

/// One by the id of its lot.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str, lot: &str) -> Result<Option<ProductLotRow>, StoreError> {
    let of_site = product_lots::table.filter(product_lots::site.eq(site));
    Ok(of_site.filter(product_lots::lot.eq(lot)).get_result(tx).optional()?)
}

/// Adds one.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &ProductLotRow) -> Result<(), StoreError> {
    diesel::insert_into(product_lots::table).values(row).execute(tx)?;
    Ok(())
}
