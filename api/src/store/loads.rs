//! Loads that were released. What a load holds never changes; its state goes forwards.

use super::{StoreError, Tx, schema::loads};
use diesel::prelude::*;

/// One load.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = loads, treat_none_as_default_value = false)]
pub struct LoadRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// Code of the formula.
    pub formula: String,
    /// For which local date.
    pub service_date: String,
    /// Its number among the loads of the formula and date.
    pub number: i64,
    /// `released`, `weighed`, …
    pub state: String,
    /// The start of its first step, RFC 3339 in UTC.
    pub starts_at: String,
    /// Who set its state.
    pub who: String,
    /// When that happened, RFC 3339 in UTC.
    pub happened_at: String,
    /// What was released, as JSON.
    pub body: String,
    /// Id of the lot that it became when it was mixed.
    pub lot: Option<String>,
}

/// Loads of service dates from a date on, by date, formula and number.
///
/// # Errors
/// [`StoreError`]
pub fn list_from(tx: &mut Tx, site: &str, from: &str) -> Result<Vec<LoadRow>, StoreError> {
    Ok(loads::table
        .filter(loads::site.eq(site))
        .filter(loads::service_date.ge(from))
        .order((loads::service_date, loads::formula, loads::number))
        .load(tx)?)
}

/// Loads that start between two instants (RFC 3339, UTC; the second excluded), by their start.
///
/// # Errors
/// [`StoreError`]
pub fn list_between(
    tx: &mut Tx,
    site: &str,
    from: &str,
    to: &str,
) -> Result<Vec<LoadRow>, StoreError> {
    Ok(loads::table
        .filter(loads::site.eq(site))
        .filter(loads::starts_at.ge(from))
        .filter(loads::starts_at.lt(to))
        .order((loads::starts_at, loads::service_date, loads::formula, loads::number))
        .load(tx)?)
}

/// A load by its id.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str, id: &str) -> Result<Option<LoadRow>, StoreError> {
    Ok(loads::table
        .filter(loads::site.eq(site))
        .filter(loads::id.eq(id))
        .get_result(tx)
        .optional()?)
}

/// A load by its formula, service date and number.
///
/// # Errors
/// [`StoreError`]
pub fn find_numbered(
    tx: &mut Tx,
    site: &str,
    (service_date, formula, number): (&str, &str, i64),
) -> Result<Option<LoadRow>, StoreError> {
    Ok(loads::table
        .filter(loads::site.eq(site))
        .filter(loads::service_date.eq(service_date))
        .filter(loads::formula.eq(formula))
        .filter(loads::number.eq(number))
        .get_result(tx)
        .optional()?)
}

/// Loads of a formula that became a lot, newest first.
///
/// # Errors
/// [`StoreError`]
pub fn list_made(tx: &mut Tx, site: &str, formula: &str) -> Result<Vec<LoadRow>, StoreError> {
    Ok(loads::table
        .filter(loads::site.eq(site))
        .filter(loads::formula.eq(formula))
        .filter(loads::lot.is_not_null())
        .order((loads::service_date.desc(), loads::number))
        .load(tx)?)
}

/// The load that became a lot.
///
/// # Errors
/// [`StoreError`]
pub fn of_lot(tx: &mut Tx, site: &str, lot: &str) -> Result<Option<LoadRow>, StoreError> {
    Ok(loads::table.filter(loads::site.eq(site)).filter(loads::lot.eq(lot)).first(tx).optional()?)
}

/// Adds a load.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &LoadRow) -> Result<(), StoreError> {
    diesel::insert_into(loads::table).values(row).execute(tx)?;
    Ok(())
}

/// Sets how far a load is, by whom and when (RFC 3339, UTC).
///
/// # Errors
/// [`StoreError`]
pub fn set_state(
    tx: &mut Tx,
    site: &str,
    id: &str,
    (state, who, happened_at): (&str, &str, &str),
) -> Result<(), StoreError> {
    diesel::update(loads::table.filter(loads::site.eq(site)).filter(loads::id.eq(id)))
        .set((loads::state.eq(state), loads::who.eq(who), loads::happened_at.eq(happened_at)))
        .execute(tx)?;
    Ok(())
}

/// Names the lot that a load became.
///
/// # Errors
/// [`StoreError`]
pub fn set_lot(tx: &mut Tx, site: &str, id: &str, lot: &str) -> Result<(), StoreError> {
    diesel::update(loads::table.filter(loads::site.eq(site)).filter(loads::id.eq(id)))
        .set(loads::lot.eq(lot))
        .execute(tx)?;
    Ok(())
}
