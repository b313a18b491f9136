//! Orders to suppliers as they stand, and what happened to them; the latter is append-only.

use super::{
    StoreError, Tx,
    schema::{supplier_order_events, supplier_orders},
};
use diesel::prelude::*;

/// One order.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = supplier_orders, treat_none_as_default_value = false)]
pub struct SupplierOrderRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// Its number in the shop, from 1.
    pub number: i64,
    /// Code of the supplier.
    pub supplier: String,
    /// Last moment to send it, RFC 3339 in UTC.
    pub cutoff: String,
    /// When its goods count: the end of the delivery window, RFC 3339 in UTC.
    pub arrives: String,
    /// `draft`, `sent`, …
    pub state: String,
    /// Who set its state.
    pub who: String,
    /// When that happened, RFC 3339 in UTC.
    pub happened_at: String,
    /// Its lines and sums as JSON.
    pub body: String,
}

/// One step of an order.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = supplier_order_events, treat_none_as_default_value = false)]
pub struct SupplierOrderEventRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// Which order.
    pub order_id: String,
    /// `drafted`, `edited`, `sent`, …
    pub step: String,
    /// Who did it.
    pub who: String,
    /// When, RFC 3339 in UTC.
    pub happened_at: String,
    /// When it was written down, RFC 3339 in UTC.
    pub recorded_at: String,
    /// What was sent, as JSON.
    pub body: String,
    /// A remark.
    pub note: Option<String>,
    /// The plan revision that it made.
    pub plan_revision: i64,
}

/// Drafts and orders on their way, by number.
///
/// # Errors
/// [`StoreError`]
pub fn open(tx: &mut Tx, site: &str) -> Result<Vec<SupplierOrderRow>, StoreError> {
    Ok(supplier_orders::table
        .filter(supplier_orders::site.eq(site))
        .filter(supplier_orders::state.ne("received"))
        .filter(supplier_orders::state.ne("closed"))
        .filter(supplier_orders::state.ne("cancelled"))
        .order(supplier_orders::number)
        .load(tx)?)
}

/// Orders after a number, oldest first; at most `limit`.
///
/// # Errors
/// [`StoreError`]
pub fn list(
    tx: &mut Tx,
    site: &str,
    after: i64,
    limit: i64,
) -> Result<Vec<SupplierOrderRow>, StoreError> {
    Ok(supplier_orders::table
        .filter(supplier_orders::site.eq(site))
        .filter(supplier_orders::number.gt(after))
        .order(supplier_orders::number)
        .limit(limit)
        .load(tx)?)
}

/// Orders to one supplier, newest first; at most `limit`.
///
/// # Errors
/// [`StoreError`]
pub fn of_supplier(
    tx: &mut Tx,
    site: &str,
    supplier: &str,
    limit: i64,
) -> Result<Vec<SupplierOrderRow>, StoreError> {
    Ok(supplier_orders::table
        .filter(supplier_orders::site.eq(site))
        .filter(supplier_orders::supplier.eq(supplier))
        .order(supplier_orders::number.desc())
        .limit(limit)
        .load(tx)?)
}

/// An order by its id.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str, id: &str) -> Result<Option<SupplierOrderRow>, StoreError> {
    Ok(supplier_orders::table
        .filter(supplier_orders::site.eq(site))
        .filter(supplier_orders::id.eq(id))
        .get_result(tx)
        .optional()?)
}

/// The number after the last one given.
///
/// # Errors
/// [`StoreError`]
pub fn next_number(tx: &mut Tx, site: &str) -> Result<i64, StoreError> {
    let last: Option<i64> = supplier_orders::table
        .filter(supplier_orders::site.eq(site))
        .select(diesel::dsl::max(supplier_orders::number))
        .get_result(tx)?;
    Ok(last.map_or(1, |number| number + 1))
}

/// Adds an order.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &SupplierOrderRow) -> Result<(), StoreError> {
    diesel::insert_into(supplier_orders::table).values(row).execute(tx)?;
    Ok(())
}

/// Writes an order as it stands now.
///
/// # Errors
/// [`StoreError`]
pub fn replace(tx: &mut Tx, row: &SupplierOrderRow) -> Result<(), StoreError> {
    let held = supplier_orders::table
        .filter(supplier_orders::site.eq(&row.site))
        .filter(supplier_orders::id.eq(&row.id));
    diesel::update(held)
        .set((
            supplier_orders::arrives.eq(&row.arrives),
            supplier_orders::state.eq(&row.state),
            supplier_orders::who.eq(&row.who),
            supplier_orders::happened_at.eq(&row.happened_at),
            supplier_orders::body.eq(&row.body),
        ))
        .execute(tx)?;
    Ok(())
}

/// All that happened to an order, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn events(
    tx: &mut Tx,
    site: &str,
    order_id: &str,
) -> Result<Vec<SupplierOrderEventRow>, StoreError> {
    Ok(supplier_order_events::table
        .filter(supplier_order_events::site.eq(site))
        .filter(supplier_order_events::order_id.eq(order_id))
        .order(supplier_order_events::id)
        .load(tx)?)
}

/// Adds a step.
///
/// # Errors
/// [`StoreError`]
pub fn insert_event(tx: &mut Tx, row: &SupplierOrderEventRow) -> Result<(), StoreError> {
    diesel::insert_into(supplier_order_events::table).values(row).execute(tx)?;
    Ok(())
}
