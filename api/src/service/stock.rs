//! Stock: receipts, counts and holds become entries of a ledger that only grows.

mod held;

pub use held::{LotHeld, MovementHeld, StockRow, find_lot, lots, movements, stock};

use super::Refusal;
use crate::{
    clock,
    document::Fault,
    store::{Tx, instant, lots as lot_rows, lots::LotRow, movements as ledger, sites},
};
use domain::{
    bakery::Bakery,
    calendar,
    id::Code,
    lot::{LotState, LotUse},
    plan::in_base_unit,
    quantity::{Quantity, Unit},
    ratio::Ratio,
};
use held::{held_lot, state_word, usage_word};
use jiff::{
    Timestamp,
    civil::{Date, Time},
    tz::TimeZone,
};

/// Something came in, was made, or is on its way.
#[derive(Debug, Clone)]
pub struct Receipt {
    /// An item, a formula's item or a product.
    pub item: Code,
    /// The name on the pack.
    pub lot: String,
    /// How much.
    pub quantity: Quantity,
    /// On which local date.
    pub received: Date,
    /// Never used after this date.
    pub use_by: Option<Date>,
    /// At its best until this date.
    pub best_before: Option<Date>,
    /// Last instant of use, where hours count.
    pub usable_until: Option<Timestamp>,
    /// Where it lies.
    pub place: Option<Code>,
    /// Who sent it.
    pub supplier: Option<Code>,
    /// What may be done with it.
    pub state: LotState,
    /// What finished pieces may be used for.
    pub usage: LotUse,
    /// Bake date of finished pieces.
    pub baked: Option<Date>,
    /// When it is put away, while it is expected.
    pub arrives: Option<Timestamp>,
    /// When it was mixed or built, if it was made here.
    pub made_at: Option<Timestamp>,
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

/// What to do with a lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Keep hands off.
    Hold,
    /// It may be used.
    Release,
}

/// Takes a receipt: one lot and its first ledger entry.
///
/// # Errors
/// [`Refusal::Body`] names every fault.
pub fn receive(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    receipt: &Receipt,
) -> Result<LotHeld, Refusal> {
    let zone = &bakery.site().time_zone;
    let mut faults = Vec::new();
    let amount = match thing(bakery, &receipt.item) {
        Some(thing) => amount(bakery, thing, receipt.quantity, &mut faults),
        None => {
            faults.push(unknown("/item", "item or product", &receipt.item));
            None
        }
    };
    check(bakery, receipt, &mut faults);
    let (Some((amount_micro, unit)), true) = (amount, faults.is_empty()) else {
        return Err(Refusal::Body(faults));
    };
    // A day's goods are in the book from its start, so that a count of that day comes after.
    let day_start = calendar::instant(zone, receipt.received, Time::midnight());
    let happened_at = match receipt.arrives {
        Some(arrives) => arrives,
        None => day_start.map_err(|error| {
            let pointer = "/received".to_owned();
            Refusal::Body(vec![Fault { pointer, kind: "out-of-range", detail: error.to_string() }])
        })?,
    };
    let row = lot_row(site, now, receipt, unit);
    lot_rows::insert(tx, &row)?;
    enter(tx, site, now, Entry { lot: &row.id, kind: "receive", amount_micro, happened_at })?;
    sites::bump(tx, site, false)?;
    Ok(held_lot(row, amount_micro, zone)?)
}

/// What a code of stock stands for.
#[derive(Debug, Clone, Copy)]
enum Thing {
    Item(u32),
    Product,
}

fn thing(bakery: &Bakery, code: &Code) -> Option<Thing> {
    let index = bakery.index();
    let item = index.item(code.as_str()).map(Thing::Item);
    item.or_else(|| index.product(code.as_str()).map(|_| Thing::Product))
}

/// A quantity in millionths of the base unit, with that unit.
fn amount(
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

fn unknown(pointer: &str, noun: &str, code: &Code) -> Fault {
    Fault {
        pointer: pointer.to_owned(),
        kind: "unknown-code",
        detail: format!("there is no {noun} `{code}`: add it first or mend the code"),
    }
}

/// What the bakery knows about a receipt's other fields.
fn check(bakery: &Bakery, receipt: &Receipt, faults: &mut Vec<Fault>) {
    let index = bakery.index();
    let Receipt { item, place, supplier, usage, .. } = receipt;
    if let Some(place) = place.as_ref().filter(|code| index.place(code.as_str()).is_none()) {
        faults.push(unknown("/place", "place", place));
    }
    if let Some(code) = supplier.as_ref().filter(|code| index.supplier(code.as_str()).is_none()) {
        faults.push(unknown("/supplier", "supplier", code));
    }
    if *usage == LotUse::Ingredient && matches!(thing(bakery, item), Some(Thing::Item(_))) {
        faults.push(Fault {
            pointer: "/use".to_owned(),
            kind: "field-mismatch",
            detail: format!("`{item}` is no product: leave use out, it is an ingredient anyway"),
        });
    }
}

fn lot_row(site: &str, now: Timestamp, receipt: &Receipt, unit: Unit) -> LotRow {
    let Receipt {
        item,
        lot,
        quantity: _,
        received,
        use_by,
        best_before,
        usable_until,
        place,
        supplier,
        state,
        usage,
        baked,
        arrives,
        made_at,
    } = receipt;
    let date = |date: &Option<Date>| date.map(|date| date.to_string());
    LotRow {
        site: site.to_owned(),
        id: clock::new_id(now).to_string(),
        name: lot.clone(),
        item: item.to_string(),
        unit: unit.symbol().to_owned(),
        received: received.to_string(),
        use_by: date(use_by),
        best_before: date(best_before),
        usable_until: usable_until.map(instant::text),
        baked: date(baked),
        arrives: arrives.map(instant::text),
        place: place.as_ref().map(Code::to_string),
        supplier: supplier.as_ref().map(Code::to_string),
        state: state_word(*state).to_owned(),
        usage: usage_word(*usage).to_owned(),
        hold_reason: None,
        made_at: made_at.map(instant::text),
    }
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
    let Count { counted_at, lot, quantity } = count;
    let fault = |pointer: &str, kind, detail: String| {
        Refusal::Body(vec![Fault { pointer: pointer.to_owned(), kind, detail }])
    };
    if *counted_at > now {
        let detail = format!("`{counted_at}` is still to come: say when the shelf was counted");
        return Err(fault("/counted_at", "out-of-range", detail));
    }
    let row = lot_rows::find(tx, site, lot)?.ok_or_else(|| {
        let detail = format!("there is no lot `{lot}`: look it up under /v1/lots");
        fault("/lot", "unknown-code", detail)
    })?;
    let counted_micro = counted(bakery, &row, *quantity)?;
    let book_micro = ledger::balance_at(tx, site, lot, &instant::text(*counted_at))?;
    let variance_micro = counted_micro.checked_sub(book_micro).ok_or_else(|| {
        fault("/quantity", "out-of-range", "the count is too far from the book".to_owned())
    })?;
    let entry =
        Entry { lot, kind: "count", amount_micro: variance_micro, happened_at: *counted_at };
    let movement = enter(tx, site, now, entry)?;
    let plan_revision = sites::bump(tx, site, false)?;
    let balance = ledger::balance(tx, site, lot)?;
    Ok(Counted {
        movement,
        counted_at: *counted_at,
        counted_micro,
        book_micro,
        variance_micro,
        lot: held_lot(row, balance, &bakery.site().time_zone)?,
        plan_revision,
    })
}

/// A count in the unit in which its lot is kept.
fn counted(bakery: &Bakery, row: &LotRow, quantity: Quantity) -> Result<i64, Refusal> {
    if quantity.unit().symbol() == row.unit {
        return Ok(quantity.micro());
    }
    let mut faults = Vec::new();
    let known = Code::parse(&row.item).ok().and_then(|code| thing(bakery, &code));
    let found = known.and_then(|thing| amount(bakery, thing, quantity, &mut faults));
    match found {
        Some((micro, unit)) if unit.symbol() == row.unit => Ok(micro),
        _ if !faults.is_empty() => Err(Refusal::Body(faults)),
        _ => Err(Refusal::Body(vec![Fault {
            pointer: "/quantity/unit".to_owned(),
            kind: "unit-mismatch",
            detail: format!("the lot is kept in {}: count it in that unit", row.unit),
        }])),
    }
}

/// Holds or releases a lot, with the reason in the ledger.
///
/// # Errors
/// [`Refusal::Unknown`] if there is no such lot.
pub fn judge(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    zone: &TimeZone,
    id: &str,
    (verdict, reason): (Verdict, &str),
) -> Result<LotHeld, Refusal> {
    let row = held::row(tx, site, id)?;
    let arrives = super::book::instant_option(row.arrives.as_deref())?;
    let state = match verdict {
        Verdict::Hold => LotState::Hold,
        // What was held on its way is still on its way.
        Verdict::Release if row.state == "hold" && arrives.is_some_and(|at| at > now) => {
            LotState::Expected
        }
        Verdict::Release => LotState::Released,
    };
    let kind = if verdict == Verdict::Hold { "hold" } else { "release" };
    let hold_reason = (verdict == Verdict::Hold).then_some(reason);
    lot_rows::set_state(tx, site, id, state_word(state), hold_reason)?;
    let nothing = Entry { lot: id, kind, amount_micro: 0, happened_at: now };
    enter_with(tx, site, now, nothing, Some(reason))?;
    sites::bump(tx, site, false)?;
    let balance = ledger::balance(tx, site, id)?;
    Ok(held_lot(held::row(tx, site, id)?, balance, zone)?)
}

/// One entry of the ledger before it is written.
struct Entry<'a> {
    lot: &'a str,
    kind: &'static str,
    amount_micro: i64,
    happened_at: Timestamp,
}

fn enter(tx: &mut Tx, site: &str, now: Timestamp, entry: Entry<'_>) -> Result<String, Refusal> {
    enter_with(tx, site, now, entry, None)
}

fn enter_with(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    entry: Entry<'_>,
    reason: Option<&str>,
) -> Result<String, Refusal> {
    let Entry { lot, kind, amount_micro, happened_at } = entry;
    let row = ledger::MovementRow {
        site: site.to_owned(),
        id: clock::new_id(now).to_string(),
        lot: lot.to_owned(),
        kind: kind.to_owned(),
        amount_micro,
        happened_at: instant::text(happened_at),
        recorded_at: instant::text(now),
        reason: reason.map(str::to_owned),
    };
    ledger::insert(tx, &row)?;
    Ok(row.id)
}

#[cfg(test)]
mod tests;
