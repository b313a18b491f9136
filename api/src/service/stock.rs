//! Stock: lots come in, move, are counted, change state and are thrown away. What happens to
//! them is an entry of the ledger, in the same transaction.

mod balances;
mod bins;
mod counted;
mod counts;
mod due;
mod held;
mod lot_label;
mod lots;
mod moves;
mod pack_readings;
mod packs;
mod past;
mod receipts;
mod scanned;
mod wastes;

pub use balances::{StockRow, stock};
pub use bins::{BinHeld, Draw, bin, draw, empty};
pub(super) use bins::{drawn, held_bins, is_bin};
pub use counted::{CountedLine, CountedSheet, CountedSheetName, counted_sheet, counted_sheets};
pub use counts::{Count, CountReason, Counted, SheetLine, count, count_all, sheet};
pub use due::{DueBecause, DueRow, due};
pub use held::{LotHeld, Price, find_lot, lots};
pub(super) use held::{held_lot, row, unit_of};
pub use lot_label::{LotLabel, LotStop, lot_label};
pub use lots::{
    Accept, Act, Freeze, Return, Thaw, Verdict, accept, freeze, give_back, judge, open, thaw,
};
pub use moves::{Move, Moved, place_lot};
pub(super) use pack_readings::pack_record;
pub use pack_readings::{LotAllergens, PackReading, lot_allergens, read_pack};
pub use packs::{Opening, empty_pack, open_pack};
pub use past::{Past, PastEntry, past};
pub use receipts::{Receipt, ReceiptPrice, receive};
pub use scanned::{Scanned, scanned};
pub use wastes::{Waste, WasteRoute, Wasted, WastedLine, waste, waste_days, wasted};

use super::{Refusal, fault};
use crate::{
    document::Fault,
    store::{StoreError, Tx, lots::LotRow, sites},
};
use domain::{
    bakery::Bakery,
    id::Code,
    plan::in_base_unit,
    quantity::{Quantity, Unit},
    ratio::Ratio,
};
use jiff::Timestamp;

/// What a code of stock stands for.
#[derive(Debug, Clone, Copy)]
pub(super) enum Thing {
    Item(u32),
    Product,
}

pub(super) fn thing(bakery: &Bakery, code: &Code) -> Option<Thing> {
    let index = bakery.index();
    let item = index.item(code.as_str()).map(Thing::Item);
    item.or_else(|| index.product(code.as_str()).map(|_| Thing::Product))
}

/// A quantity in millionths of the base unit, with that unit.
pub(super) fn amount(
    bakery: &Bakery,
    thing: Thing,
    quantity: Quantity,
    faults: &mut Vec<Fault>,
) -> Option<(i64, Unit)> {
    let mut refuse = |kind, detail| {
        faults.push(Fault { pointer: "/quantity".to_owned(), kind, detail });
        None
    };
    let position = match thing {
        Thing::Item(position) => position,
        Thing::Product if quantity.unit() == Unit::Each => {
            return Some((quantity.micro(), Unit::Each));
        }
        Thing::Product => {
            let detail = format!("`{quantity}`: finished pieces are counted, use the unit each");
            return refuse("unit-mismatch", detail);
        }
    };
    let item = bakery.item(position);
    let whole = match in_base_unit(bakery, position, quantity).map(|found| found.map(rounded)) {
        Ok(Some(whole)) => whole,
        Ok(None) => {
            let volume = [quantity.unit(), item.base_unit].contains(&Unit::Millilitre);
            return if volume && item.density.is_none() {
                refuse(
                    "no-density",
                    format!(
                        "`{quantity}` of `{}`: it is kept in {} and has no density, \
                     add one or use that unit",
                        item.code, item.base_unit
                    ),
                )
            } else {
                refuse(
                    "no-weight-each",
                    format!(
                        "`{quantity}` of `{}`: it is kept in {} and one has no weight, \
                     add one or use that unit",
                        item.code, item.base_unit
                    ),
                )
            };
        }
        Err(_) => None,
    };
    match whole.and_then(|micro| Quantity::from_micro(micro, item.base_unit).ok()) {
        Some(found) => Some((found.micro(), item.base_unit)),
        None => refuse("out-of-range", format!("`{quantity}` is more than a lot can hold")),
    }
}

/// The one rounding of what enters the ledger in another unit: half up to a millionth.
fn rounded(micro: Ratio) -> Option<i64> {
    micro.round_half_up().ok().and_then(|micro| i64::try_from(micro).ok())
}

pub(super) fn unknown(pointer: &str, noun: &str, code: &Code) -> Fault {
    Fault {
        pointer: pointer.to_owned(),
        kind: "unknown-code",
        detail: format!("there is no {noun} `{code}`: add it first or mend the code"),
    }
}

/// A quantity in millionths of the unit in which a lot is kept.
pub(super) fn in_unit_of(
    bakery: &Bakery,
    row: &LotRow,
    quantity: Quantity,
    pointer: &str,
) -> Result<i64, Refusal> {
    if quantity.unit().symbol() == row.unit {
        return Ok(quantity.micro());
    }
    let mut faults = Vec::new();
    let known = Code::parse(&row.item).ok().and_then(|code| thing(bakery, &code));
    let found = known.and_then(|thing| amount(bakery, thing, quantity, &mut faults));
    match found {
        Some((micro, unit)) if unit.symbol() == row.unit => Ok(micro),
        _ if !faults.is_empty() => {
            let placed = |fault: Fault| Fault { pointer: pointer.to_owned(), ..fault };
            Err(Refusal::Body(faults.into_iter().map(placed).collect()))
        }
        _ => {
            let detail = format!("the lot is kept in {}: say it in that unit", row.unit);
            Err(fault(&format!("{pointer}/unit"), "unit-mismatch", detail))
        }
    }
}

/// Counts a change of stock and keeps what it was; returns the new plan revision.
pub(super) fn revise(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    cause: &str,
) -> Result<i64, StoreError> {
    sites::bump(tx, site, sites::Change { at: now, cause, bakery_changed: false })
}

/// When something happened: now unless it is said, and never in the future.
fn moment(now: Timestamp, said: Option<Timestamp>, pointer: &str) -> Result<Timestamp, Refusal> {
    match said {
        Some(at) if at > now => {
            let detail = format!("`{at}` is still to come: say when it happened");
            Err(fault(pointer, "out-of-range", detail))
        }
        said => Ok(said.unwrap_or(now)),
    }
}

#[cfg(test)]
mod tests;
