//! Lots.

use super::{StoreError, Tx, schema::lots};
use diesel::prelude::*;

/// One lot.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = lots, treat_none_as_default_value = false)]
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
    /// The word of its state.
    pub state: String,
    /// `any` or `ingredient`.
    pub usage: String,
    /// Why it is on hold.
    pub hold_reason: Option<String>,
    /// Instant at which it was mixed or built: its age counts from here.
    pub made_at: Option<String>,
    /// Instant at which it was taken out of the freezer.
    pub thaw_started: Option<String>,
    /// Instant at which its open pack was opened.
    pub opened_at: Option<String>,
    /// Instant at which it was frozen.
    pub frozen_at: Option<String>,
    /// Days of its printed date that were left then.
    pub frozen_days_left: Option<i64>,
    /// Last instant of use since then.
    pub thawed_until: Option<String>,
    /// Until when it was accepted past its best-before date.
    pub accepted_until: Option<String>,
    /// Who accepted it.
    pub accepted_by: Option<String>,
    /// What it cost, in whole minor units.
    pub price_minor: Option<i64>,
    /// Of which currency.
    pub price_currency: Option<String>,
    /// For how much of it, in millionths of its base unit.
    pub price_per_micro: Option<i64>,
}

impl LotRow {
    /// A lot of which only this is known, released for any use.
    #[must_use]
    pub fn new(
        site: &str,
        id: String,
        (name, item, unit): (&str, &str, &str),
        received: String,
    ) -> Self {
        Self {
            site: site.to_owned(),
            id,
            name: name.to_owned(),
            item: item.to_owned(),
            unit: unit.to_owned(),
            received,
            use_by: None,
            best_before: None,
            usable_until: None,
            baked: None,
            arrives: None,
            place: None,
            supplier: None,
            state: "released".to_owned(),
            usage: "any".to_owned(),
            hold_reason: None,
            made_at: None,
            thaw_started: None,
            opened_at: None,
            frozen_at: None,
            frozen_days_left: None,
            thawed_until: None,
            accepted_until: None,
            accepted_by: None,
            price_minor: None,
            price_currency: None,
            price_per_micro: None,
        }
    }
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
    Ok(lots::table.filter(lots::site.eq(site)).filter(lots::id.eq(id)).get_result(tx).optional()?)
}

/// Adds a lot.
///
/// # Errors
/// [`StoreError`]
pub fn insert(tx: &mut Tx, row: &LotRow) -> Result<(), StoreError> {
    diesel::insert_into(lots::table).values(row).execute(tx)?;
    Ok(())
}

/// What may change of a lot after it came: nothing of its origin.
#[derive(Debug, Clone, PartialEq, Eq, AsChangeset)]
#[diesel(table_name = lots, treat_none_as_null = true)]
pub struct LotChange {
    /// The word of its state.
    pub state: String,
    /// Why it is on hold.
    pub hold_reason: Option<String>,
    /// Where most of it lies.
    pub place: Option<String>,
    /// Instant at which it is put away or thawed.
    pub arrives: Option<String>,
    /// Instant at which its open pack was opened.
    pub opened_at: Option<String>,
    /// Instant at which it was frozen.
    pub frozen_at: Option<String>,
    /// Days of its printed date that were left then.
    pub frozen_days_left: Option<i64>,
    /// Instant at which it was taken out of the freezer.
    pub thaw_started: Option<String>,
    /// Last instant of use since then.
    pub thawed_until: Option<String>,
    /// Until when it was accepted past its best-before date.
    pub accepted_until: Option<String>,
    /// Who accepted it.
    pub accepted_by: Option<String>,
}

impl From<&LotRow> for LotChange {
    fn from(row: &LotRow) -> Self {
        Self {
            state: row.state.clone(),
            hold_reason: row.hold_reason.clone(),
            place: row.place.clone(),
            arrives: row.arrives.clone(),
            opened_at: row.opened_at.clone(),
            frozen_at: row.frozen_at.clone(),
            frozen_days_left: row.frozen_days_left,
            thaw_started: row.thaw_started.clone(),
            thawed_until: row.thawed_until.clone(),
            accepted_until: row.accepted_until.clone(),
            accepted_by: row.accepted_by.clone(),
        }
    }
}

/// Writes what changed of a lot.
///
/// # Errors
/// [`StoreError`]
pub fn change(tx: &mut Tx, site: &str, id: &str, change: &LotChange) -> Result<(), StoreError> {
    diesel::update(lots::table.filter(lots::site.eq(site)).filter(lots::id.eq(id)))
        .set(change)
        .execute(tx)?;
    Ok(())
}
