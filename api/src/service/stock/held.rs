//! Lots as they are held, with what is left of each and how long it may be used.

use crate::{
    service::{
        Refusal,
        book::{date, instant_option, state_of, usage_of},
    },
    store::{StoreError, Tx, balances, balances::BalanceRow, lots as rows, lots::LotRow},
};
use domain::{
    bakery::Bakery,
    lot::{LotState, LotUse},
    money::{Currency, Money},
    quantity::Unit,
    ratio::{Overflow, Ratio},
    shelf_life::{LifeEnd, ShelfLife, usable_until},
};
use jiff::{Timestamp, civil::Date, tz::TimeZone};
use std::collections::BTreeMap;

/// What a lot cost when it came.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Price {
    /// The money.
    pub money: Money,
    /// For how many millionths of the base unit.
    pub per_micro: i64,
}

impl Price {
    /// What an amount cost, exact, in minor units.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn of(&self, micro: i64) -> Result<Ratio, Overflow> {
        Ratio::new(i128::from(self.money.minor), i128::from(self.per_micro))?
            .times(Ratio::whole(micro.into()))
    }
}

/// A lot with what is left of it.
#[derive(Debug, Clone)]
pub struct LotHeld {
    /// UUID of version 7.
    pub id: String,
    /// The name on the pack.
    pub name: String,
    /// The item or product.
    pub item: String,
    /// Sum of its movements, in millionths of the base unit; may be negative.
    pub balance_micro: i64,
    /// What is left at each place, by place; empty for a place that nobody said.
    pub places: Vec<(String, i64)>,
    /// The base unit.
    pub unit: Unit,
    /// Local date on which it came.
    pub received: Date,
    /// Never used after this date.
    pub use_by: Option<Date>,
    /// At its best until this date.
    pub best_before: Option<Date>,
    /// Last instant of use, where hours count.
    pub usable_until: Option<Timestamp>,
    /// Bake date of finished pieces.
    pub baked: Option<Date>,
    /// When it is put away, while it is expected.
    pub arrives: Option<Timestamp>,
    /// When it was mixed or built, if it was made here.
    pub made_at: Option<Timestamp>,
    /// Where it lies.
    /// Last instant of use by all rules, and what sets it.
    pub until: Option<(Timestamp, LifeEnd)>,
    /// When its open pack was opened.
    pub opened_at: Option<Timestamp>,
    /// When it was frozen.
    pub frozen_at: Option<Timestamp>,
    /// Days of its printed date that were left then.
    pub frozen_days_left: Option<i64>,
    /// When it was taken out of the freezer.
    pub thaw_started: Option<Timestamp>,
    /// Who accepted it past its best-before date.
    pub accepted_by: Option<String>,
    /// What it cost.
    pub price: Option<Price>,
    /// Where most of it lies.
    pub place: Option<String>,
    /// Who sent it.
    pub supplier: Option<String>,
    /// What may be done with it.
    pub state: LotState,
    /// What finished pieces may be used for.
    pub usage: LotUse,
    /// Why it is on hold.
    pub hold_reason: Option<String>,
    /// The bakery's clock, on which its instants are shown.
    pub zone: TimeZone,
}

/// The word of a lot use, in the store and on the wire.
pub(super) const fn usage_word(usage: LotUse) -> &'static str {
    match usage {
        LotUse::Any => "any",
        LotUse::Ingredient => "ingredient",
        LotUse::ParBaked => "par_baked",
    }
}

impl LotHeld {
    /// The stable word of its use.
    #[must_use]
    pub const fn usage_word(&self) -> &'static str {
        usage_word(self.usage)
    }
}

/// A lot by its id.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn find_lot(tx: &mut Tx, site: &str, bakery: &Bakery, id: &str) -> Result<LotHeld, Refusal> {
    let row = row(tx, site, id)?;
    let balances = balances::of_lot(tx, site, id)?;
    held_lot(row, balances, bakery)
}

/// Lots of a shop, or of one item of it, after an id, oldest first; at most `limit`.
///
/// # Errors
/// [`Refusal::Store`]
pub fn lots(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    item: Option<&str>,
    (after, limit): (&str, i64),
) -> Result<Vec<LotHeld>, Refusal> {
    let mut found = Vec::new();
    for row in rows::list(tx, site, item, after, limit)? {
        let balances = balances::of_lot(tx, site, &row.id)?;
        found.push(held_lot(row, balances, bakery)?);
    }
    Ok(found)
}

/// All lots of a shop, oldest first.
pub(super) fn all(tx: &mut Tx, site: &str, bakery: &Bakery) -> Result<Vec<LotHeld>, Refusal> {
    let mut balances: BTreeMap<String, Vec<BalanceRow>> = BTreeMap::new();
    for row in balances::list_all(tx, site)? {
        balances.entry(row.lot.clone()).or_default().push(row);
    }
    let mut found = Vec::new();
    for row in rows::list_all(tx, site)? {
        let left = balances.remove(&row.id).unwrap_or_default();
        found.push(held_lot(row, left, bakery)?);
    }
    Ok(found)
}

/// A lot's row.
pub(crate) fn row(tx: &mut Tx, site: &str, id: &str) -> Result<LotRow, Refusal> {
    rows::find(tx, site, id)?.ok_or_else(|| Refusal::Unknown { noun: "lot", code: id.to_owned() })
}

/// The dates and events that bound the use of a lot.
pub(super) fn shelf_life(row: &LotRow, bakery: &Bakery) -> Result<ShelfLife, StoreError> {
    let date_option = |text: &Option<String>| text.as_deref().map(date).transpose();
    let at = |text: &Option<String>| instant_option(text.as_deref());
    // Both texts are of one width and sort as the instants do.
    let opened_at = row
        .opened_at
        .clone()
        .filter(|opened| row.frozen_at.as_ref().is_none_or(|frozen| opened > frozen));
    let item = bakery.index().item(&row.item).map(|at| bakery.item(at));
    let formulas = &bakery.lists().formulas;
    let formula = formulas.iter().rfind(|formula| formula.code.as_str() == row.item);
    Ok(ShelfLife {
        use_by: date_option(&row.use_by)?,
        best_before: date_option(&row.best_before)?,
        accepted_until: at(&row.accepted_until)?,
        stated_until: at(&row.usable_until)?,
        opened_at: at(&opened_at)?,
        opened_life_minutes: item.and_then(|item| item.opened_life_minutes),
        was_frozen: row.frozen_days_left.is_some(),
        thawed_until: at(&row.thawed_until)?,
        made_at: at(&row.made_at)?,
        age_max_minutes: formula.and_then(|formula| {
            formula.age_window_minutes.map(|(_, most)| most).or(formula.life_minutes)
        }),
    })
}

/// A lot from its row and balances.
pub(crate) fn held_lot(
    row: LotRow,
    balances: Vec<BalanceRow>,
    bakery: &Bakery,
) -> Result<LotHeld, Refusal> {
    let zone = &bakery.site().time_zone;
    let life = shelf_life(&row, bakery)?;
    let until = usable_until(zone, &life).map_err(crate::service::plan::refused)?;
    let price = price(&row)?;
    let mut amounts = balances.iter().map(|row| row.balance_micro);
    let balance_micro = amounts.try_fold(0_i64, i64::checked_add);
    let balance_micro = balance_micro.ok_or(StoreError::Corrupt("balance"))?;
    let state = match state_of(&row.state)? {
        // Nothing is written when the last gram goes: it is seen from the balance.
        state if state.is_usable() && balance_micro == 0 => LotState::UsedUp,
        state => state,
    };
    let at = |text: Option<String>| instant_option(text.as_deref());
    Ok(LotHeld {
        id: row.id,
        name: row.name,
        item: row.item,
        balance_micro,
        places: balances.into_iter().map(|row| (row.place, row.balance_micro)).collect(),
        unit: unit_of(&row.unit)?,
        received: date(&row.received)?,
        use_by: life.use_by,
        best_before: life.best_before,
        usable_until: life.stated_until,
        until,
        baked: row.baked.as_deref().map(date).transpose()?,
        arrives: at(row.arrives)?,
        made_at: life.made_at,
        opened_at: life.opened_at,
        frozen_at: at(row.frozen_at)?,
        frozen_days_left: row.frozen_days_left,
        thaw_started: at(row.thaw_started)?,
        accepted_by: row.accepted_by,
        price,
        place: row.place,
        supplier: row.supplier,
        state,
        usage: usage_of(&row.usage)?,
        hold_reason: row.hold_reason,
        zone: zone.clone(),
    })
}

fn price(row: &LotRow) -> Result<Option<Price>, StoreError> {
    let (Some(minor), Some(currency), Some(per_micro)) =
        (row.price_minor, &row.price_currency, row.price_per_micro)
    else {
        return Ok(None);
    };
    let currency = Currency::parse(currency).map_err(|_| StoreError::Corrupt("currency"))?;
    Ok(Some(Price { money: Money { minor, currency }, per_micro }))
}

/// A stored unit.
pub(crate) fn unit_of(text: &str) -> Result<Unit, StoreError> {
    Unit::parse(text).map(|(unit, _)| unit).map_err(|_| StoreError::Corrupt("unit"))
}
