//! Counts: what lay on the shelf at a moment, against the book at that moment.

use super::{LotHeld, fault, find_lot, in_unit_of, revise};
use crate::{
    document::Fault,
    service::{
        Refusal,
        ledger::{self, Entry},
    },
    store::{Tx, instant, lots as lot_rows, movements as ledger_rows},
};
use domain::{bakery::Bakery, lot::LotState, movement::MovementKind, quantity::Quantity};
use jiff::Timestamp;

/// Why a shelf and the book differ.
///
/// # Source
/// The trade rules, part 4, variance reasons.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CountReason {
    /// Something was used and not written down.
    UnrecordedUse,
    /// It was written down for another lot.
    WrongLot,
    /// It was written down in another unit.
    UnitError,
    /// Taken by somebody, or nobody knows.
    TheftOrUnknown,
    /// It dried out.
    Evaporation,
}

impl CountReason {
    /// Its stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::UnrecordedUse => "unrecorded-use",
            Self::WrongLot => "wrong-lot",
            Self::UnitError => "unit-error",
            Self::TheftOrUnknown => "theft-or-unknown",
            Self::Evaporation => "evaporation",
        }
    }
}

/// What was found on the shelf.
#[derive(Debug, Clone)]
pub struct Count {
    /// The moment counted, which may be before later entries.
    pub counted_at: Timestamp,
    /// Id of the lot.
    pub lot: String,
    /// How much there was.
    pub quantity: Quantity,
    /// Who counted.
    pub who: Option<String>,
    /// Why it differs from the book.
    pub reason: Option<CountReason>,
    /// Which sheet it was written on.
    pub document: Option<String>,
    /// Where it lay, if only what lies at one place was counted.
    pub place: Option<String>,
}

/// What a count came to.
#[derive(Debug, Clone)]
pub struct Counted {
    /// Id of the ledger entry.
    pub movement: String,
    /// The moment counted.
    pub counted_at: Timestamp,
    /// What was counted, in millionths of the base unit.
    pub counted_micro: i64,
    /// What the book said at that moment, in millionths of the base unit.
    pub book_micro: i64,
    /// Counted less book, in millionths of the base unit.
    pub variance_micro: i64,
    /// The lot after the count and everything that happened since.
    pub lot: LotHeld,
    /// The plan revision that it made.
    pub plan_revision: i64,
}

/// A line of a sheet to count by: it does not say what the book expects.
#[derive(Debug, Clone)]
pub struct SheetLine {
    /// The lot.
    pub lot: LotHeld,
    /// The place where some of it should lie.
    pub place: Option<String>,
}

/// Posts what a count differs from the book at the moment counted; what happened
/// since then stands.
///
/// # Errors
/// [`Refusal::Body`] names the fault.
pub fn count(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    count: &Count,
) -> Result<Counted, Refusal> {
    let Count { counted_at, lot, quantity, who, reason, document, place } = count;
    if *counted_at > now {
        let detail = format!("`{counted_at}` is still to come: say when the shelf was counted");
        return Err(fault("/counted_at", "out-of-range", detail));
    }
    let row = lot_rows::find(tx, site, lot)?.ok_or_else(|| {
        let detail = format!("there is no lot `{lot}`: look it up under /v1/lots");
        fault("/lot", "unknown-code", detail)
    })?;
    let counted_micro = in_unit_of(bakery, &row, *quantity, "/quantity")?;
    let at = instant::text(*counted_at);
    let book_micro = match place {
        Some(place) => ledger_rows::balance_of_place_at(tx, site, (lot, place), &at)?,
        None => ledger_rows::balance_at(tx, site, lot, &at)?,
    };
    let variance_micro = counted_micro.checked_sub(book_micro).ok_or_else(|| {
        fault("/quantity", "out-of-range", "the count is too far from the book".to_owned())
    })?;
    let entry = Entry {
        who: who.as_deref(),
        reason: reason.map(CountReason::word),
        document: document.as_deref(),
        place: place.as_deref(),
        ..Entry::new(lot, MovementKind::Count, variance_micro, *counted_at)
    };
    let movement = ledger::enter(tx, site, now, entry)?;
    let cause = format!("count of {}, lot {}", row.item, row.name);
    let plan_revision = revise(tx, site, now, &cause)?;
    Ok(Counted {
        movement,
        counted_at: *counted_at,
        counted_micro,
        book_micro,
        variance_micro,
        lot: find_lot(tx, site, bakery, lot)?,
        plan_revision,
    })
}

/// Posts a whole sheet of counts; a refusal names the line.
///
/// # Errors
/// [`Refusal::Body`] names the fault of the first line that cannot be taken.
pub fn count_all(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    counts: &[Count],
) -> Result<Vec<Counted>, Refusal> {
    let mut counted = Vec::with_capacity(counts.len());
    for (at, one) in counts.iter().enumerate() {
        let placed = |refusal| match refusal {
            Refusal::Body(faults) => {
                let place = |fault: Fault| Fault {
                    pointer: match fault.pointer.as_str() {
                        "/counted_at" => fault.pointer,
                        inside => format!("/lines/{at}{inside}"),
                    },
                    ..fault
                };
                Refusal::Body(faults.into_iter().map(place).collect())
            }
            other => other,
        };
        counted.push(count(tx, site, now, bakery, one).map_err(placed)?);
    }
    Ok(counted)
}

/// The lots to count, of one place or item if that is said, by place, item and name: in the order in which they are walked past.
///
/// # Errors
/// [`Refusal::Store`]
pub fn sheet(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    (place, item): (Option<&str>, Option<&str>),
) -> Result<Vec<SheetLine>, Refusal> {
    let mut lines = Vec::new();
    for lot in super::held::all(tx, site, bakery)? {
        // What is on its way or went back lies on no shelf.
        let elsewhere = matches!(lot.state, LotState::Expected | LotState::Returned);
        if elsewhere || item.is_some_and(|item| item != lot.item) {
            continue;
        }
        for (at, balance_micro) in &lot.places {
            let here = place.is_none_or(|place| place == at);
            if here && *balance_micro != 0 {
                let place = Some(at.clone()).filter(|at| !at.is_empty());
                lines.push(SheetLine { lot: lot.clone(), place });
            }
        }
    }
    let key = |line: &SheetLine| {
        (line.place.clone(), line.lot.item.clone(), line.lot.name.clone(), line.lot.id.clone())
    };
    lines.sort_by_key(key);
    Ok(lines)
}
