//! Waste: what was thrown away, why, where it went, and what it had cost.

use super::{
    LotHeld, fault, find_lot, held, in_unit_of, lots as states, moment, revise, thing, unknown,
};
use crate::{
    clock,
    service::{
        Refusal,
        book::state_of,
        ledger::{self, Entry},
        plan::refused,
    },
    store::{
        StoreError, Tx, balances, instant, lots as lot_rows, lots::LotChange,
        movements as ledger_rows, wastes as rows, wastes::WasteRow,
    },
};
use domain::{
    bakery::Bakery,
    calendar,
    id::Code,
    lot::LotState,
    movement::MovementKind,
    quantity::{Quantity, Unit},
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use std::collections::{BTreeMap, BTreeSet};

/// Where waste goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WasteRoute {
    /// Into the bin.
    Bin,
    /// To animals.
    Feed,
    /// Given away.
    Donation,
}

impl WasteRoute {
    /// Its stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bin => "bin",
            Self::Feed => "feed",
            Self::Donation => "donation",
        }
    }
}

/// Something was thrown away.
#[derive(Debug, Clone)]
pub struct Waste {
    /// Id of the lot that it came out of, if it was in stock.
    pub lot: Option<String>,
    /// The item or product, if it was in no lot.
    pub item: Option<Code>,
    /// How much.
    pub quantity: Quantity,
    /// Why: one of the house's reasons.
    pub reason: Code,
    /// Where it was.
    pub place: Option<Code>,
    /// The batch or load that it came from.
    pub batch: Option<String>,
    /// Where it went.
    pub route: WasteRoute,
    /// When; now if not said.
    pub wasted_at: Option<Timestamp>,
    /// Who did it.
    pub who: Option<String>,
    /// In own words.
    pub note: Option<String>,
}

/// What became of it.
#[derive(Debug, Clone)]
pub struct Wasted {
    /// UUID of version 7 of the record.
    pub id: String,
    /// Id of the ledger entry, if it came out of a lot.
    pub movement: Option<String>,
    /// The lot after it.
    pub lot: Option<LotHeld>,
    /// The line as the report shows it.
    pub line: WastedLine,
}

/// One line of what was thrown away.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WastedLine {
    /// When.
    pub at: Timestamp,
    /// The item or product.
    pub item: String,
    /// The name of the lot, if it came out of one.
    pub lot: Option<String>,
    /// How much, in millionths of the base unit.
    pub amount_micro: i64,
    /// The base unit.
    pub unit: Unit,
    /// The code of the reason; none if nobody said.
    pub reason: Option<String>,
    /// `bin`, `feed` or `donation`; none if nobody said.
    pub route: Option<String>,
    /// The batch or load.
    pub batch: Option<String>,
    /// What it had cost in whole minor units, half up; none if that is not known.
    pub money_minor: Option<i64>,
}

/// Throws something away: an entry of the ledger if it came out of a lot, and a record.
///
/// # Errors
/// [`Refusal::Body`] names every fault; `wrong-state`.
pub fn waste(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    asked: &Waste,
) -> Result<Wasted, Refusal> {
    let at = moment(now, asked.wasted_at, "/wasted_at")?;
    check(bakery, asked)?;
    let id = clock::new_id(now).to_string();
    let (item, amount_micro, unit) = match &asked.lot {
        Some(lot) => {
            let row = held::row(tx, site, lot)?;
            let amount = in_unit_of(bakery, &row, asked.quantity, "/quantity")?;
            (row.item.clone(), amount, held::unit_of(&row.unit)?)
        }
        None => outside(bakery, asked)?,
    };
    let document = format!("waste:{id}");
    let movement = match &asked.lot {
        Some(lot) => {
            let entry = Entry {
                who: asked.who.as_deref(),
                reason: Some(asked.reason.as_str()),
                load: asked.batch.as_deref(),
                document: Some(&document),
                place: asked.place.as_ref().map(Code::as_str),
                ..Entry::new(lot, MovementKind::Waste, -amount_micro, at)
            };
            let movement = ledger::enter(tx, site, now, entry)?;
            end(tx, site, lot)?;
            Some(movement)
        }
        None => None,
    };
    let row = WasteRow {
        site: site.to_owned(),
        id: id.clone(),
        movement: movement.clone(),
        item: item.clone(),
        unit: unit.symbol().to_owned(),
        amount_micro,
        reason: asked.reason.to_string(),
        place: asked.place.as_ref().map(Code::to_string),
        batch: asked.batch.clone(),
        route: asked.route.word().to_owned(),
        happened_at: instant::text(at),
        recorded_at: instant::text(now),
        who: asked.who.clone(),
        note: asked.note.clone(),
    };
    rows::insert(tx, &row)?;
    revise(tx, site, now, &format!("waste of {}: {}", row.item, row.reason))?;
    let lot = match &asked.lot {
        Some(lot) => Some(find_lot(tx, site, bakery, lot)?),
        None => None,
    };
    let line = WastedLine {
        at,
        item,
        lot: lot.as_ref().map(|lot| lot.name.clone()),
        amount_micro,
        unit,
        reason: Some(asked.reason.to_string()),
        route: Some(asked.route.word().to_owned()),
        batch: asked.batch.clone(),
        money_minor: cost(lot.as_ref(), amount_micro)?,
    };
    Ok(Wasted { id, movement, lot, line })
}

fn check(bakery: &Bakery, asked: &Waste) -> Result<(), Refusal> {
    let mut faults = Vec::new();
    let mut refuse = |pointer: &str, kind, detail: String| {
        faults.push(crate::document::Fault { pointer: pointer.to_owned(), kind, detail });
    };
    let reasons = &bakery.site().waste_reasons;
    if !reasons.contains(&asked.reason) {
        let words: Vec<_> = reasons.iter().map(Code::as_str).collect();
        let detail =
            format!("`{}` is none of the house's reasons: {}", asked.reason, words.join(", "));
        refuse("/reason", "unknown-code", detail);
    }
    if asked.lot.is_some() == asked.item.is_some() {
        let detail = "say the lot that it came out of, or the item if it was in no lot".to_owned();
        refuse("/lot", "field-mismatch", detail);
    }
    if asked.quantity.micro() <= 0 {
        let detail = format!("`{}`: say more than nothing", asked.quantity);
        refuse("/quantity/amount", "out-of-range", detail);
    }
    let place = asked.place.as_ref();
    if let Some(place) = place.filter(|place| bakery.index().place(place.as_str()).is_none()) {
        faults.push(unknown("/place", "place", place));
    }
    if faults.is_empty() { Ok(()) } else { Err(Refusal::Body(faults)) }
}

/// Waste that was never in a lot: burnt pieces, dough from the floor.
fn outside(bakery: &Bakery, asked: &Waste) -> Result<(String, i64, Unit), Refusal> {
    let Some(code) = &asked.item else {
        return Err(fault("/item", "field-mismatch", "say what was thrown away"));
    };
    let Some(found) = thing(bakery, code) else {
        return Err(Refusal::Body(vec![unknown("/item", "item or product", code)]));
    };
    // A burnt loaf is counted or weighed, as it comes.
    if matches!(found, super::Thing::Product) && asked.quantity.unit() == Unit::Gram {
        return Ok((code.to_string(), asked.quantity.micro(), Unit::Gram));
    }
    let mut faults = Vec::new();
    match super::amount(bakery, found, asked.quantity, &mut faults) {
        Some((micro, unit)) => Ok((code.to_string(), micro, unit)),
        None => Err(Refusal::Body(faults)),
    }
}

/// A lot of which nothing is left after waste was wasted.
fn end(tx: &mut Tx, site: &str, lot: &str) -> Result<(), Refusal> {
    let row = held::row(tx, site, lot)?;
    let state = state_of(&row.state)?;
    if balances::find(tx, site, lot)? != 0 {
        return super::moves::settle(tx, site, lot);
    }
    states::legal(&row, state, LotState::Wasted)?;
    let state = LotState::Wasted.word().to_owned();
    Ok(lot_rows::change(tx, site, lot, &LotChange { state, ..LotChange::from(&row) })?)
}

/// What an amount of a lot had cost, rounded half up to a minor unit at this line.
fn cost(lot: Option<&LotHeld>, amount_micro: i64) -> Result<Option<i64>, Refusal> {
    let Some(price) = lot.and_then(|lot| lot.price) else { return Ok(None) };
    let exact = price.of(amount_micro).map_err(refused)?;
    let minor = exact.round_half_up().map_err(refused)?;
    Ok(i64::try_from(minor).ok())
}

/// Days of a report unless it is asked for others: four weeks.
const REPORT_DAYS: i64 = 28;

/// The local dates of a report, both included.
///
/// # Errors
/// `invalid-query` if the first comes after the last.
pub fn waste_days(
    bakery: &Bakery,
    now: Timestamp,
    (from, to): (Option<Date>, Option<Date>),
) -> Result<(Date, Date), Refusal> {
    let today = bakery.site().time_zone.to_datetime(now).date();
    let to = to.unwrap_or_else(|| today.max(from.unwrap_or(today)));
    let from = match from {
        Some(from) => from,
        None => calendar::add_days(to, 1 - REPORT_DAYS).map_err(refused)?,
    };
    if from > to {
        let detail = format!("from {from} comes after to {to}: exchange them");
        return Err(Refusal::stated("invalid-query", detail));
    }
    Ok((from, to))
}

/// All that was thrown away on some local dates, both included, by moment.
///
/// Entries that were taken back are not in it.
///
/// # Errors
/// [`Refusal`]
pub fn wasted(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    (from, to): (Date, Date),
) -> Result<Vec<WastedLine>, Refusal> {
    let zone = &bakery.site().time_zone;
    let start = |date| calendar::instant(zone, date, Time::midnight()).map_err(refused);
    let after = calendar::add_days(to, 1).map_err(refused)?;
    let (from, before) = (instant::text(start(from)?), instant::text(start(after)?));
    let range = (from.as_str(), before.as_str());
    let records = rows::list(tx, site, range)?;
    let by_document: BTreeMap<String, &WasteRow> =
        records.iter().map(|row| (format!("waste:{}", row.id), row)).collect();
    let reversed: BTreeSet<String> = ledger_rows::reversed(tx, site)?.into_iter().collect();
    let mut lines = Vec::new();
    for entry in ledger_rows::of_kind(tx, site, MovementKind::Waste.word(), range)? {
        if reversed.contains(&entry.id) || entry.amount_micro == 0 {
            continue;
        }
        let lot = find_lot(tx, site, bakery, &entry.lot)?;
        let record = entry.document.as_ref().and_then(|document| by_document.get(document));
        let amount_micro = entry.amount_micro.checked_neg().ok_or(StoreError::Corrupt("waste"))?;
        lines.push(WastedLine {
            at: instant::read(&entry.happened_at)?,
            item: lot.item.clone(),
            lot: Some(lot.name.clone()),
            amount_micro,
            unit: lot.unit,
            reason: record.map(|record| record.reason.clone()).or(entry.reason),
            route: record.map(|record| record.route.clone()),
            batch: entry.load,
            money_minor: cost(Some(&lot), amount_micro)?,
        });
    }
    for record in records.into_iter().filter(|record| record.movement.is_none()) {
        lines.push(WastedLine {
            at: instant::read(&record.happened_at)?,
            item: record.item,
            lot: None,
            amount_micro: record.amount_micro,
            unit: held::unit_of(&record.unit)?,
            reason: Some(record.reason),
            route: Some(record.route),
            batch: record.batch,
            money_minor: None,
        });
    }
    let key = |line: &WastedLine| (line.at, line.item.clone(), line.lot.clone(), line.amount_micro);
    lines.sort_by_key(key);
    Ok(lines)
}
