//! What to count next, and why.

use super::{LotHeld, held};
use crate::{
    service::{Refusal, plan::refused},
    store::{Tx, instant, movements as ledger_rows},
};
use domain::{bakery::Bakery, calendar, ratio::Ratio};
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};

/// Share of the stock's value that is counted as high, in percent.
///
/// # Source
/// Common practice: few items carry four fifths of the value.
const HIGH_VALUE_PERCENT: i128 = 80;
/// Days after which an item of high value is counted again.
///
/// # Source
/// Common practice.
const HIGH_VALUE_DAYS: i64 = 7;
/// Minutes in a day.
const DAY_MINUTES: i64 = 24 * 60;

/// Why something is to be counted; the first comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum DueBecause {
    /// By the book there is less than nothing.
    Negative,
    /// The plan runs short of it.
    Short,
    /// Much money lies in it.
    HighValue,
    /// It was not counted for the house's weeks.
    Cycle,
}

impl DueBecause {
    /// Its stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Negative => "negative",
            Self::Short => "short",
            Self::HighValue => "high-value",
            Self::Cycle => "cycle",
        }
    }
}

/// An item that is to be counted.
#[derive(Debug, Clone)]
pub struct DueRow {
    /// The item or product.
    pub item: String,
    /// Why.
    pub because: DueBecause,
    /// When any lot of it was counted last; none if never.
    pub counted_at: Option<Timestamp>,
    /// Its lots in the house.
    pub lots: Vec<LotHeld>,
}

/// What to count: negatives, what the plan runs short of, high value, then everything that was
/// not counted for the house's weeks; within these what was counted longest ago first.
///
/// # Errors
/// [`Refusal::Store`]
///
/// # Source
/// The trade rules, part 4, cycle list.
pub fn due(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    short: &BTreeSet<String>,
) -> Result<Vec<DueRow>, Refusal> {
    let counts = ledger_rows::last_counts(tx, site)?;
    let mut items: BTreeMap<String, Vec<LotHeld>> = BTreeMap::new();
    for lot in held::all(tx, site, bakery)?.into_iter().filter(|lot| lot.balance_micro != 0) {
        items.entry(lot.item.clone()).or_default().push(lot);
    }
    let valuable = valuable(&items)?;
    let since = |days: i64| calendar::add_minutes(now, -days * DAY_MINUTES).map_err(refused);
    let (week, cycle) = (since(HIGH_VALUE_DAYS)?, since(7 * bakery.site().count_weeks)?);
    let mut rows = Vec::new();
    for (item, lots) in items {
        let texts = lots.iter().filter_map(|lot| counts.get(&lot.id));
        let last = texts.map(|text| instant::read(text)).collect::<Result<Vec<_>, _>>()?;
        let counted_at = last.into_iter().max();
        let before = |limit: Timestamp| counted_at.is_none_or(|at| at < limit);
        // What was never counted is known from its receipt.
        let came = lots.iter().map(|lot| lot.received).min();
        let came = came.is_none_or(|date| {
            calendar::last_second(&bakery.site().time_zone, date).map_or(true, |at| at < cycle)
        });
        let because = if lots.iter().any(|lot| lot.balance_micro < 0) {
            DueBecause::Negative
        } else if short.contains(&item) {
            DueBecause::Short
        } else if valuable.contains(&item) && before(week) {
            DueBecause::HighValue
        } else if before(cycle) && (counted_at.is_some() || came) {
            DueBecause::Cycle
        } else {
            continue;
        };
        rows.push(DueRow { item, because, counted_at, lots });
    }
    rows.sort_by(|a, b| {
        (a.because, a.counted_at, &a.item).cmp(&(b.because, b.counted_at, &b.item))
    });
    Ok(rows)
}

/// The items that carry most of the value; what has no price is not among them.
fn valuable(items: &BTreeMap<String, Vec<LotHeld>>) -> Result<BTreeSet<String>, Refusal> {
    let mut values = Vec::new();
    for (item, lots) in items {
        let mut value = 0_i128;
        for lot in lots.iter().filter(|lot| lot.balance_micro > 0) {
            let Some(price) = lot.price else { continue };
            value += price.of(lot.balance_micro).map(Ratio::floor).map_err(refused)?;
        }
        values.push((value, item));
    }
    values.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(b.1)));
    let all: i128 = values.iter().map(|(value, _)| value).sum();
    let mut before = 0;
    let mut found = BTreeSet::new();
    for (value, item) in values.into_iter().filter(|(value, _)| *value > 0) {
        if before * 100 < all * HIGH_VALUE_PERCENT {
            found.insert(item.clone());
        }
        before += value;
    }
    Ok(found)
}
