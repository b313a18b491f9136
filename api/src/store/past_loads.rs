//! Loads that were made before this book was kept: append-only.

use super::{
    CHUNK, StoreError, Tx,
    schema::{past_load_lines, past_loads},
};
use diesel::prelude::*;

/// One load of the past.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = past_loads, treat_none_as_default_value = false)]
pub struct PastLoadRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// What it was called.
    pub name: String,
    /// Code of what it made.
    pub formula: String,
    /// When, RFC 3339 in UTC.
    pub made_at: String,
    /// When it was written down, RFC 3339 in UTC.
    pub recorded_at: String,
    /// Who wrote it down.
    pub who: Option<String>,
    /// A remark.
    pub note: Option<String>,
}

/// What went into a load of the past, came out of it, or left the house.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = past_load_lines, treat_none_as_default_value = false)]
pub struct PastLoadLineRow {
    /// The shop.
    pub site: String,
    /// Which load.
    pub past_load: String,
    /// Place in it.
    pub position: i64,
    /// `use`, `make` or `send`.
    pub kind: String,
    /// Code of the item or product.
    pub item: String,
    /// Id of the lot; none for what is in no lot, such as water.
    pub lot: Option<String>,
    /// How much, in millionths of the unit; never below zero.
    pub amount_micro: i64,
    /// The base unit.
    pub unit: String,
    /// Who got it, if it left the house.
    pub customer: Option<String>,
    /// For which local date.
    pub service_date: Option<String>,
    /// Local time of the drop.
    pub drop_time: Option<String>,
    /// The sender's name of the order.
    pub order_ref: Option<String>,
}

/// A load by what it was called.
///
/// # Errors
/// [`StoreError`]
pub fn find_named(tx: &mut Tx, site: &str, name: &str) -> Result<Option<PastLoadRow>, StoreError> {
    let found = past_loads::table.filter(past_loads::site.eq(site));
    Ok(found.filter(past_loads::name.eq(name)).first(tx).optional()?)
}

/// Loads by their ids.
///
/// # Errors
/// [`StoreError`]
pub fn of_ids(tx: &mut Tx, site: &str, ids: &[String]) -> Result<Vec<PastLoadRow>, StoreError> {
    let mut found = Vec::new();
    for ids in ids.chunks(CHUNK) {
        let of_site = past_loads::table.filter(past_loads::site.eq(site));
        found.extend(of_site.filter(past_loads::id.eq_any(ids)).load::<PastLoadRow>(tx)?);
    }
    Ok(found)
}

/// The lines of loads, in order.
///
/// # Errors
/// [`StoreError`]
pub fn lines_of(
    tx: &mut Tx,
    site: &str,
    loads: &[String],
) -> Result<Vec<PastLoadLineRow>, StoreError> {
    let mut found = Vec::new();
    for loads in loads.chunks(CHUNK) {
        let of_site = past_load_lines::table.filter(past_load_lines::site.eq(site));
        let of_loads = of_site.filter(past_load_lines::past_load.eq_any(loads));
        let order = (past_load_lines::past_load, past_load_lines::position);
        found.extend(of_loads.order(order).load::<PastLoadLineRow>(tx)?);
    }
    Ok(found)
}

/// The lines that name one of some lots.
///
/// # Errors
/// [`StoreError`]
pub fn lines_of_lots(
    tx: &mut Tx,
    site: &str,
    lots: &[String],
) -> Result<Vec<PastLoadLineRow>, StoreError> {
    let mut found = Vec::new();
    for lots in lots.chunks(CHUNK) {
        let of_site = past_load_lines::table.filter(past_load_lines::site.eq(site));
        let of_lots = of_site.filter(past_load_lines::lot.eq_any(lots));
        let order = (past_load_lines::past_load, past_load_lines::position);
        found.extend(of_lots.order(order).load::<PastLoadLineRow>(tx)?);
    }
    Ok(found)
}

/// Writes a load down with its lines.
///
/// # Errors
/// [`StoreError`]
pub fn insert(
    tx: &mut Tx,
    load: &PastLoadRow,
    lines: &[PastLoadLineRow],
) -> Result<(), StoreError> {
    diesel::insert_into(past_loads::table).values(load).execute(tx)?;
    for line in lines {
        diesel::insert_into(past_load_lines::table).values(line).execute(tx)?;
    }
    Ok(())
}
