//! What is left of each lot at each place: a copy of the ledger's sums.

use super::{StoreError, Tx, schema::balances};
use diesel::prelude::*;

/// What is left of a lot at a place.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = balances, treat_none_as_default_value = false)]
pub struct BalanceRow {
    /// The shop.
    pub site: String,
    /// The lot.
    pub lot: String,
    /// The place; empty if none was ever said.
    pub place: String,
    /// What is left, in millionths of the base unit; may be negative.
    pub balance_micro: i64,
}

/// All balances of a shop, by lot and place.
///
/// # Errors
/// [`StoreError`]
pub fn list_all(tx: &mut Tx, site: &str) -> Result<Vec<BalanceRow>, StoreError> {
    let of_site = balances::table.filter(balances::site.eq(site));
    Ok(of_site.order((balances::lot, balances::place)).load(tx)?)
}

/// The balances of one lot, by place.
///
/// # Errors
/// [`StoreError`]
pub fn of_lot(tx: &mut Tx, site: &str, lot: &str) -> Result<Vec<BalanceRow>, StoreError> {
    let found = balances::table.filter(balances::site.eq(site)).filter(balances::lot.eq(lot));
    Ok(found.order(balances::place).load(tx)?)
}

/// The balance of one lot over all places.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str, lot: &str) -> Result<i64, StoreError> {
    let rows = of_lot(tx, site, lot)?;
    let mut amounts = rows.iter().map(|row| row.balance_micro);
    amounts.try_fold(0_i64, i64::checked_add).ok_or(StoreError::Corrupt("balance"))
}

/// Adds to the balance of a lot at a place.
///
/// # Errors
/// [`StoreError`]
pub fn add(
    tx: &mut Tx,
    site: &str,
    (lot, place): (&str, &str),
    amount_micro: i64,
) -> Result<(), StoreError> {
    let key = balances::site.eq(site).and(balances::lot.eq(lot)).and(balances::place.eq(place));
    let held: Option<i64> =
        balances::table.filter(key).select(balances::balance_micro).get_result(tx).optional()?;
    let sum = held.unwrap_or(0).checked_add(amount_micro).ok_or(StoreError::Corrupt("balance"))?;
    if held.is_some() {
        let row = balances::table.filter(key);
        diesel::update(row).set(balances::balance_micro.eq(sum)).execute(tx)?;
    } else {
        let (site, lot) = (site.to_owned(), lot.to_owned());
        let row = BalanceRow { site, lot, place: place.to_owned(), balance_micro: sum };
        diesel::insert_into(balances::table).values(&row).execute(tx)?;
    }
    Ok(())
}
