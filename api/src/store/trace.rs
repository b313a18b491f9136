//! What a trace reads: entries by lot, by load and by document, through their indexes.

use super::{
    CHUNK, StoreError, Tx,
    schema::{balances, loads, lots, movements, order_lines, order_versions, orders},
};
use crate::store::{balances::BalanceRow, loads::LoadRow, lots::LotRow};
use diesel::prelude::*;

/// One entry of the ledger, as far as a trace needs it.
#[derive(Debug, Clone, PartialEq, Eq, Queryable)]
pub struct TraceRow {
    /// UUID of version 7.
    pub id: String,
    /// The lot that moved.
    pub lot: String,
    /// The word of what happened.
    pub kind: String,
    /// What it adds to the lot, in millionths of the base unit.
    pub amount_micro: i64,
    /// When it happened, RFC 3339 in UTC.
    pub happened_at: String,
    /// The document behind it.
    pub document: Option<String>,
    /// Id of the load it was for.
    pub load: Option<String>,
    /// Where it happened; empty if no place was ever said.
    pub place: String,
    /// Id of the entry that it takes back.
    pub reverses: Option<String>,
}

type Columns = (
    movements::id,
    movements::lot,
    movements::kind,
    movements::amount_micro,
    movements::happened_at,
    movements::document,
    movements::load,
    movements::place,
    movements::reverses,
);

const COLUMNS: Columns = (
    movements::id,
    movements::lot,
    movements::kind,
    movements::amount_micro,
    movements::happened_at,
    movements::document,
    movements::load,
    movements::place,
    movements::reverses,
);

/// All entries of some lots, by lot, in the order in which they were written.
///
/// # Errors
/// [`StoreError`]
pub fn of_lots(tx: &mut Tx, site: &str, lots: &[String]) -> Result<Vec<TraceRow>, StoreError> {
    let mut found = Vec::new();
    for lots in lots.chunks(CHUNK) {
        let of_site = movements::table.filter(movements::site.eq(site));
        let of_lots = of_site.filter(movements::lot.eq_any(lots)).select(COLUMNS);
        found.extend(of_lots.order((movements::lot, movements::id)).load::<TraceRow>(tx)?);
    }
    Ok(found)
}

/// All entries for some loads.
///
/// # Errors
/// [`StoreError`]
pub fn of_loads(tx: &mut Tx, site: &str, loads: &[String]) -> Result<Vec<TraceRow>, StoreError> {
    let mut found = Vec::new();
    for loads in loads.chunks(CHUNK) {
        let of_site = movements::table.filter(movements::site.eq(site));
        let of_loads = of_site.filter(movements::load.eq_any(loads)).select(COLUMNS);
        found.extend(of_loads.order((movements::load, movements::id)).load::<TraceRow>(tx)?);
    }
    Ok(found)
}

/// All entries of some documents.
///
/// # Errors
/// [`StoreError`]
pub fn of_documents(
    tx: &mut Tx,
    site: &str,
    documents: &[String],
) -> Result<Vec<TraceRow>, StoreError> {
    let mut found = Vec::new();
    for documents in documents.chunks(CHUNK) {
        let of_site = movements::table.filter(movements::site.eq(site));
        let of_documents = of_site.filter(movements::document.eq_any(documents)).select(COLUMNS);
        let order = (movements::document, movements::id);
        found.extend(of_documents.order(order).load::<TraceRow>(tx)?);
    }
    Ok(found)
}

/// Lots by their ids.
///
/// # Errors
/// [`StoreError`]
pub fn lots_of(tx: &mut Tx, site: &str, ids: &[String]) -> Result<Vec<LotRow>, StoreError> {
    let mut found = Vec::new();
    for ids in ids.chunks(CHUNK) {
        let of_site = lots::table.filter(lots::site.eq(site));
        found.extend(of_site.filter(lots::id.eq_any(ids)).load::<LotRow>(tx)?);
    }
    Ok(found)
}

/// What is left of some lots, by lot and place.
///
/// # Errors
/// [`StoreError`]
pub fn balances_of(
    tx: &mut Tx,
    site: &str,
    lots: &[String],
) -> Result<Vec<BalanceRow>, StoreError> {
    let mut found = Vec::new();
    for lots in lots.chunks(CHUNK) {
        let of_site = balances::table.filter(balances::site.eq(site));
        let of_lots = of_site.filter(balances::lot.eq_any(lots));
        found.extend(of_lots.order((balances::lot, balances::place)).load::<BalanceRow>(tx)?);
    }
    Ok(found)
}

/// Loads by their ids.
///
/// # Errors
/// [`StoreError`]
pub fn loads_of(tx: &mut Tx, site: &str, ids: &[String]) -> Result<Vec<LoadRow>, StoreError> {
    let mut found = Vec::new();
    for ids in ids.chunks(CHUNK) {
        let of_site = loads::table.filter(loads::site.eq(site));
        found.extend(of_site.filter(loads::id.eq_any(ids)).load::<LoadRow>(tx)?);
    }
    Ok(found)
}

/// Whose some orders are and for when, by their held versions: name, customer, service date.
///
/// # Errors
/// [`StoreError`]
pub fn orders_of(tx: &mut Tx, site: &str, names: &[String]) -> Result<Vec<OrderOf>, StoreError> {
    let mut found = Vec::new();
    for names in names.chunks(CHUNK) {
        let held = orders::table.inner_join(
            order_versions::table.on(order_versions::site
                .eq(orders::site)
                .and(order_versions::order_ref.eq(orders::order_ref))
                .and(order_versions::version.eq(orders::version))),
        );
        let of_names = held
            .filter(orders::site.eq(site))
            .filter(orders::order_ref.eq_any(names))
            .select((orders::order_ref, order_versions::customer, order_versions::service_date));
        found.extend(of_names.load::<OrderOf>(tx)?);
    }
    Ok(found)
}

/// The name of an order, who ordered and for when.
pub type OrderOf = (String, Option<String>, Option<String>);

/// A line of an order that is held.
#[derive(Debug, Clone, PartialEq, Eq, Queryable)]
pub struct OrderedRow {
    /// The sender's name for the order.
    pub order_ref: String,
    /// Who ordered.
    pub customer: Option<String>,
    /// Local time of the drop.
    pub drop_time: Option<String>,
    /// What is wanted.
    pub product: String,
    /// How many pieces are taken.
    pub quantity_taken: i64,
}

/// Taken lines of the orders that are held for a service date.
///
/// # Errors
/// [`StoreError`]
pub fn lines_on(tx: &mut Tx, site: &str, date: &str) -> Result<Vec<OrderedRow>, StoreError> {
    Ok(orders::table
        .inner_join(
            order_versions::table.on(order_versions::site
                .eq(orders::site)
                .and(order_versions::order_ref.eq(orders::order_ref))
                .and(order_versions::version.eq(orders::version))),
        )
        .inner_join(
            order_lines::table.on(order_lines::site
                .eq(orders::site)
                .and(order_lines::order_ref.eq(orders::order_ref))
                .and(order_lines::version.eq(orders::version))),
        )
        .filter(orders::site.eq(site))
        .filter(orders::service_date.eq(date))
        .filter(order_lines::quantity_taken.gt(0))
        .order((orders::order_ref, order_lines::position))
        .select((
            orders::order_ref,
            order_versions::customer,
            order_versions::drop_time,
            order_lines::product,
            order_lines::quantity_taken,
        ))
        .load(tx)?)
}
