//! Lots.

use super::{StoreError, Tx, schema::lots};
use diesel::prelude::*;

/// One lot.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = lots)]
pub struct LotRow {
    /// The shop.
    pub site: String,
    /// UUID of version 7.
    pub id: String,
    /// The name on the pack.
    pub name: String,
    /// The item or product.
    pub item: String,
    /// The base unit of its movements.
    pub unit: String,
    /// Local date on which it came.
    pub received: String,
    /// Never used after this date.
    pub use_by: Option<String>,
    /// At its best until this date.
    pub best_before: Option<String>,
    /// Last instant of use, where hours count.
    pub usable_until: Option<String>,
    /// Bake date of finished goods.
    pub baked: Option<String>,
    /// Instant at which it is put away, while it is expected.
    pub arrives: Option<String>,
    /// Where it lies.
    pub place: Option<String>,
    /// Who sent it.
    pub supplier: Option<String>,
    /// `expected`, `hold`, `released` or `open`.
    pub state: String,
    /// `any` or `ingredient`.
    pub usage: String,
    /// Why it is on hold.
    pub hold_reason: Option<String>,
    /// Instant at which it was mixed or built: its age counts from here.
    pub made_at: Option<String>,
}

/// All lots of a shop, or of one item of it, after an id, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn list(
    tx: &mut Tx,
    site: &str,
    item: Option<&str>,
    after: &str,
    limit: i64,
) -> Result<Vec<LotRow>, StoreError> {
    let of_site = lots::site.eq(site).and(lots::id.gt(after));
    Ok(match item {
        Some(item) => lots::table
            .filter(of_site)
            .filter(lots::item.eq(item))
            .order(lots::id)
            .limit(limit)
            .load(tx)?,
        None => lots::table.filter(of_site).order(lots::id).limit(limit).load(tx)?,
    })
}

/// All lots of a shop, for a plan.
///
/// # Errors
/// [`StoreError`]
pub fn list_all(tx: &mut Tx, site: &str) -> Result<Vec<LotRow>, StoreError> {
    Ok(lots::table.filter(lots::site.eq(site)).order(lots::id).load(tx)?)
}

/// A lot by its id.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str, id: &str) -> Result<Option<LotRow>, StoreError> {
    Ok(lots::table.filter(lots::site.eq(site)).filter(lots::id.eq(id)).first(tx).optional()?)
}

/// Adds a lot.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &LotRow) -> Result<(), StoreError> {
    diesel::insert_into(lots::table).values(row).execute(tx)?;
    Ok(())
}

/// Sets what may be done with a lot, and why.
///
/// # Errors
/// [`StoreError`]
pub fn set_state(
    tx: &mut Tx,
    site: &str,
    id: &str,
    state: &str,
    hold_reason: Option<&str>,
) -> Result<(), StoreError> {
    diesel::update(lots::table.filter(lots::site.eq(site)).filter(lots::id.eq(id)))
        .set((lots::state.eq(state), lots::hold_reason.eq(hold_reason)))
        .execute(tx)?;
    Ok(())
}
