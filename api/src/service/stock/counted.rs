//! Sheets that were counted: what each line came to, in amounts and in money.

use super::{LotHeld, find_lot};
use crate::{
    service::{Refusal, plan::refused, valuation},
    store::{Tx, instant, lots as lot_rows, movements as rows, movements::MovementRow},
};
use domain::{bakery::Bakery, movement::MovementKind, ratio::Ratio};
use jiff::{SignedDuration, Timestamp};
use std::collections::BTreeMap;

/// How far back sheets are listed.
const DAYS_BACK: i64 = 28;

/// A sheet that was counted.
#[derive(Debug, Clone)]
pub struct CountedSheet {
    /// The moment counted.
    pub at: Timestamp,
    /// Who counted.
    pub who: Option<String>,
    /// Its lines, in the order in which they were counted.
    pub lines: Vec<CountedLine>,
}

/// One line of a counted sheet; amounts are millionths of the lot's base unit.
#[derive(Debug, Clone)]
pub struct CountedLine {
    /// The lot as it is now.
    pub lot: LotHeld,
    /// Where it lay; empty where nobody said.
    pub place: String,
    /// What was counted.
    pub counted_micro: i64,
    /// What the book said before.
    pub book_micro: i64,
    /// Counted less book.
    pub variance_micro: i64,
    /// What the variance is worth in minor units, rounded half up; none if its lot has no price.
    pub money_minor: Option<i64>,
    /// Whether the count was taken back.
    pub taken_back: bool,
}

/// A sheet by its name and moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CountedSheetName {
    /// The document that its entries carry.
    pub document: String,
    /// The moment counted.
    pub at: Timestamp,
    /// Who counted.
    pub who: Option<String>,
    /// How many lots were counted.
    pub lines: usize,
}

/// Sheets of the last four weeks whose documents begin with a prefix, newest first.
///
/// # Errors
/// [`Refusal::Store`]
pub fn counted_sheets(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    prefix: &str,
) -> Result<Vec<CountedSheetName>, Refusal> {
    let back = SignedDuration::from_hours(24 * DAYS_BACK);
    let from = instant::text(now.checked_sub(back).unwrap_or(Timestamp::MIN));
    let after = now.checked_add(SignedDuration::from_secs(1)).unwrap_or(Timestamp::MAX);
    let range = (from.as_str(), &*instant::text(after));
    let mut sheets: BTreeMap<String, CountedSheetName> = BTreeMap::new();
    for row in rows::of_kind(tx, site, MovementKind::Count.word(), range)? {
        let Some(document) = row.document.filter(|document| document.starts_with(prefix)) else {
            continue;
        };
        let at = instant::read(&row.happened_at)?;
        let new = CountedSheetName { document: document.clone(), at, who: row.who, lines: 0 };
        sheets.entry(document).or_insert(new).lines += 1;
    }
    let mut sheets: Vec<CountedSheetName> = sheets.into_values().collect();
    sheets.sort_by(|a, b| b.at.cmp(&a.at).then(b.document.cmp(&a.document)));
    Ok(sheets)
}

/// A sheet by the document that its entries carry.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn counted_sheet(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    document: &str,
) -> Result<CountedSheet, Refusal> {
    let entries = rows::of_document(tx, site, document)?;
    let counts = entries.into_iter().filter(|row| row.kind == MovementKind::Count.word());
    let counts: Vec<MovementRow> = counts.collect();
    let Some(first) = counts.first() else {
        return Err(Refusal::Unknown { noun: "count", code: document.to_owned() });
    };
    let (at, who) = (instant::read(&first.happened_at)?, first.who.clone());
    let mut lines = Vec::with_capacity(counts.len());
    for entry in counts {
        lines.push(line(tx, site, bakery, entry)?);
    }
    Ok(CountedSheet { at, who, lines })
}

fn line(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    entry: MovementRow,
) -> Result<CountedLine, Refusal> {
    // What was written later, even of an earlier moment, was not known to the count.
    let known = |row: &&MovementRow| {
        row.place == entry.place
            && row.happened_at <= entry.happened_at
            && row.sequence < entry.sequence
    };
    let before = rows::list(tx, site, Some(&entry.lot), "", i64::MAX)?;
    let book_micro: i64 = before.iter().filter(known).map(|row| row.amount_micro).sum();
    let price = match lot_rows::find(tx, site, &entry.lot)? {
        Some(row) => valuation::cost_of_lot(bakery, &row)?,
        None => None,
    };
    Ok(CountedLine {
        lot: find_lot(tx, site, bakery, &entry.lot)?,
        counted_micro: book_micro.saturating_add(entry.amount_micro),
        book_micro,
        variance_micro: entry.amount_micro,
        money_minor: price.map(|price| money(price, entry.amount_micro)).transpose()?,
        taken_back: rows::reversal(tx, site, &entry.id)?.is_some(),
        place: entry.place,
    })
}

/// What an amount is worth, rounded half up to a minor unit at this line.
fn money(price: Ratio, micro: i64) -> Result<i64, Refusal> {
    let exact = price.times(Ratio::whole(micro.into())).map_err(refused)?;
    let minor = exact.round_half_up().map_err(refused)?;
    i64::try_from(minor).map_err(|_| refused(domain::ratio::Overflow))
}
