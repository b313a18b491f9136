//! How the book's balance of one item went.

use super::unit_of;
use crate::{
    service::Refusal,
    store::{StoreError, Tx, balances, instant, lots as lot_rows, movements as rows},
};
use domain::{movement::MovementKind, quantity::Unit};
use jiff::Timestamp;

/// The book's balance of one item from a moment on; amounts are millionths of its base unit.
#[derive(Debug, Clone)]
pub struct Past {
    /// The base unit; none if there never was a lot of it.
    pub unit: Option<Unit>,
    /// The balance at that moment, on hold or not.
    pub start_micro: i64,
    /// What changed it since, by moment.
    pub entries: Vec<PastEntry>,
}

/// What changed a balance; moves from place to place do not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PastEntry {
    /// When it happened.
    pub at: Timestamp,
    /// What happened.
    pub kind: MovementKind,
    /// What it added.
    pub amount_micro: i64,
    /// The lot's name.
    pub lot: String,
}

/// How the book's balance of an item went since a moment.
///
/// # Errors
/// [`Refusal::Store`]
pub fn past(tx: &mut Tx, site: &str, item: &str, from: Timestamp) -> Result<Past, Refusal> {
    let since = instant::text(from);
    let (mut now_micro, mut unit, mut entries) = (0_i64, None, Vec::new());
    for lot in lot_rows::list(tx, site, Some(item), "", i64::MAX)? {
        let left = balances::find(tx, site, &lot.id)?;
        now_micro = now_micro.checked_add(left).ok_or(StoreError::Corrupt("balance"))?;
        unit = Some(unit_of(&lot.unit)?);
        for row in rows::list(tx, site, Some(&lot.id), "", i64::MAX)? {
            if row.happened_at < since || row.amount_micro == 0 {
                continue;
            }
            entries.push(PastEntry {
                at: instant::read(&row.happened_at)?,
                kind: MovementKind::parse(&row.kind).ok_or(StoreError::Corrupt("movement"))?,
                amount_micro: row.amount_micro,
                lot: lot.name.clone(),
            });
        }
    }
    let since_then = entries.iter().try_fold(0_i64, |sum, one| sum.checked_add(one.amount_micro));
    let start_micro = since_then.and_then(|sum| now_micro.checked_sub(sum));
    let start_micro = start_micro.ok_or(StoreError::Corrupt("balance"))?;
    entries.retain(|one| one.kind != MovementKind::Move);
    entries.sort_by_key(|one| one.at);
    Ok(Past { unit, start_micro, entries })
}
