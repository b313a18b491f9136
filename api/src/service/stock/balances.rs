//! What is there of each item.

use super::unit_of;
use crate::{
    service::Refusal,
    store::{StoreError, Tx, balances as rows, lots as lot_rows},
};
use domain::{lot::LotState, quantity::Unit};
use std::collections::BTreeMap;

/// The stock of one item or product, in millionths of its base unit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockRow {
    /// The item or product.
    pub item: String,
    /// The base unit.
    pub unit: Unit,
    /// In the house and released, by the book; may be negative.
    pub on_hand_micro: i64,
    /// In the house and held back.
    pub held_micro: i64,
    /// On its way.
    pub expected_micro: i64,
    /// Lots that are not used up.
    pub lots: i64,
    /// Whether one of them is below nothing by the book.
    pub count_me: bool,
}

/// The balance of every item with stock, by code after a code; at most `limit`.
///
/// # Errors
/// [`Refusal::Store`]
pub fn stock(tx: &mut Tx, site: &str, after: &str, limit: i64) -> Result<Vec<StockRow>, Refusal> {
    let mut balances: BTreeMap<String, i64> = BTreeMap::new();
    for row in rows::list_all(tx, site)? {
        let sum = balances.entry(row.lot).or_default();
        *sum = sum.checked_add(row.balance_micro).ok_or(StoreError::Corrupt("balance"))?;
    }
    let mut found: BTreeMap<String, StockRow> = BTreeMap::new();
    for lot in lot_rows::list_all(tx, site)?.into_iter().filter(|lot| lot.item.as_str() > after) {
        let unit = unit_of(&lot.unit)?;
        let balance = balances.get(&lot.id).copied().unwrap_or(0);
        let row = found.entry(lot.item.clone()).or_insert_with(|| StockRow {
            item: lot.item.clone(),
            unit,
            on_hand_micro: 0,
            held_micro: 0,
            expected_micro: 0,
            lots: 0,
            count_me: false,
        });
        let sum = match crate::service::book::state_of(&lot.state)? {
            LotState::Expected => &mut row.expected_micro,
            state if state.is_kept_back() => &mut row.held_micro,
            _ => &mut row.on_hand_micro,
        };
        *sum = sum.checked_add(balance).ok_or(StoreError::Corrupt("balance"))?;
        row.lots += i64::from(balance != 0);
        row.count_me |= balance < 0;
    }
    let limit = usize::try_from(limit).unwrap_or(0);
    Ok(found.into_values().take(limit).collect())
}
