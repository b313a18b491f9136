//! Receipts: what comes in, is made, or is on its way.

use super::{
    LotHeld, Thing, amount, bins, fault, find_lot, held, pack_readings, revise, thing, unknown,
};
use crate::{
    clock,
    document::Fault,
    service::{
        Refusal,
        ledger::{self, Entry},
        plan::refused,
    },
    store::{Tx, bins as bin_rows, instant, lots as lot_rows, lots::LotRow, orders},
};
use domain::{
    allergens::products_with,
    bakery::Bakery,
    calendar,
    id::Code,
    item::AllergenRecord,
    lot::{LotState, LotUse},
    money::Money,
    movement::MovementKind,
    price::price_of_received,
    quantity::{Quantity, Unit},
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use std::collections::BTreeSet;

/// Something came in, was made, or is on its way.
#[derive(Debug, Clone)]
pub struct Receipt {
    /// An item, a formula's item or a product.
    pub item: Code,
    /// The name on the pack; the house gives one if there is none.
    pub lot: Option<String>,
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
    /// Allergens as they stand on this pack, if somebody read them.
    pub allergens: Option<AllergenRecord>,
    /// What it cost, if that is known.
    pub price: Option<ReceiptPrice>,
    /// Who took it in.
    pub who: Option<String>,
    /// The delivery note or other document behind it.
    pub document: Option<String>,
}

/// What a receipt cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReceiptPrice {
    /// The money.
    pub money: Money,
    /// For how much of it; for all of it if not said.
    pub per: Option<Quantity>,
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
    let stated = price(bakery, receipt, (amount_micro, unit))?;
    let listed = if stated.is_none() { listed(bakery, receipt, amount_micro)? } else { None };
    let from_list = listed.is_some().then_some(FROM_THE_LIST);
    let price = stated.or(listed);
    let name = match &receipt.lot {
        Some(name) => name.clone(),
        None => site_lot(tx, site, receipt)?,
    };
    let mut row = lot_row(site, now, receipt, (&name, unit, price));
    let pack = receipt.allergens.as_ref().filter(|_| bakery.index().item(&row.item).is_some());
    if let Some(pack) = pack
        && let Some(reason) = otherwise(tx, site, now, bakery, (&receipt.item, pack))?
    {
        LotState::Hold.word().clone_into(&mut row.state);
        row.hold_reason = Some(reason);
    }
    lot_rows::insert(tx, &row)?;
    if let Some(pack) = pack {
        pack_readings::keep(tx, site, now, (&row.id, pack, receipt.who.as_deref()))?;
    }
    let entry = Entry {
        who: receipt.who.as_deref(),
        document: receipt.document.as_deref(),
        reason: from_list,
        ..Entry::new(&row.id, MovementKind::Receive, amount_micro, happened_at)
    };
    ledger::enter(tx, site, now, entry)?;
    let is_bin = |code: &&Code| bins::is_bin(bakery, code.as_str());
    if let Some(bin) = receipt.place.as_ref().filter(is_bin) {
        bin_rows::fill(tx, site, (bin.as_str(), &row.id), &instant::text(happened_at))?;
    }
    let cause = format!("receipt of {}, lot {}", row.item, row.name);
    revise(tx, site, now, &cause)?;
    find_lot(tx, site, bakery, &row.id)
}

/// Names in one list of a reason at most.
const NAMES_MAX: usize = 20;

/// Why a pack must wait that says otherwise of allergens than the record of its item, with
/// the products and customers that it would touch.
///
/// # Source
/// The trade rules, part 3, receiving: a changed ingredient list goes on hold until the
/// record is read again; case 29 of part 7.
pub(super) fn otherwise(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (code, pack): (&Code, &AllergenRecord),
) -> Result<Option<String>, Refusal> {
    let Some(Thing::Item(item)) = thing(bakery, code) else { return Ok(None) };
    let record = &bakery.item(item).allergens;
    let same =
        record.known && record.contains == pack.contains && record.may_contain == pack.may_contain;
    if same {
        return Ok(None);
    }
    let words = |words: &BTreeSet<String>| {
        let all: Vec<&str> = words.iter().map(String::as_str).collect();
        if all.is_empty() { "nothing".to_owned() } else { all.join(", ") }
    };
    let today = bakery.site().time_zone.to_datetime(now).date();
    let touched = products_with(bakery, bakery.recipes(today), item);
    let products: BTreeSet<String> =
        touched.iter().map(|at| bakery.product(*at).code.to_string()).collect();
    let lines = orders::held_lines(tx, site, &today.to_string())?.into_iter();
    let customers: BTreeSet<String> = lines
        .filter(|line| products.contains(&line.product))
        .filter_map(|line| line.customer)
        .collect();
    let names = |names: &BTreeSet<String>| {
        let shown: Vec<&str> = names.iter().take(NAMES_MAX).map(String::as_str).collect();
        match names.len().saturating_sub(NAMES_MAX) {
            _ if shown.is_empty() => "none".to_owned(),
            0 => shown.join(", "),
            more => format!("{} and {more} more", shown.join(", ")),
        }
    };
    Ok(Some(format!(
        "the pack says contains {}, may contain {}, and our record says otherwise: read the record \
         again before it is released. Products: {}. Customers with orders: {}",
        words(&pack.contains),
        words(&pack.may_contain),
        names(&products),
        names(&customers)
    )))
}

/// A lot of the house where the pack has none: supplier, date and line.
///
/// # Source
/// The trade rules, part 3, receiving.
fn site_lot(tx: &mut Tx, site: &str, receipt: &Receipt) -> Result<String, Refusal> {
    let supplier = receipt.supplier.as_ref().map_or("house", Code::as_str);
    let date = receipt.received.strftime("%y%m%d").to_string();
    let head = format!("{supplier}-{date}-");
    let known = lot_rows::list_all(tx, site)?;
    let line = known.iter().filter(|row| row.name.starts_with(&head)).count() + 1;
    Ok(format!("{head}{line}"))
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
    let par_baked =
        index.product(item.as_str()).is_some_and(|at| bakery.product(at).par_baked.is_some());
    if *usage == LotUse::ParBaked && !par_baked {
        faults.push(Fault {
            pointer: "/use".to_owned(),
            kind: "field-mismatch",
            detail: format!("nobody says how `{item}` is finished: set its par_baked first"),
        });
    }
    if *usage == LotUse::Ingredient && matches!(thing(bakery, item), Some(Thing::Item(_))) {
        faults.push(Fault {
            pointer: "/use".to_owned(),
            kind: "field-mismatch",
            detail: format!("`{item}` is no product: leave use out, it is an ingredient anyway"),
        });
    }
}

/// What the receipt cost, and for how many millionths of the base unit.
fn price(
    bakery: &Bakery,
    receipt: &Receipt,
    (amount_micro, unit): (i64, Unit),
) -> Result<Option<(Money, i64)>, Refusal> {
    let Some(ReceiptPrice { money, per }) = receipt.price else { return Ok(None) };
    let currency = bakery.site().currency;
    if money.currency != currency {
        let detail = format!("the house counts in {currency}: write the price in it");
        return Err(fault("/price/currency", "unit-mismatch", detail));
    }
    let Some(per) = per else { return Ok(Some((money, amount_micro))) };
    let mut faults = Vec::new();
    let found = thing(bakery, &receipt.item)
        .and_then(|thing| amount(bakery, thing, per, &mut faults))
        .filter(|(micro, found)| *micro > 0 && *found == unit);
    match found {
        Some((micro, _)) => Ok(Some((money, micro))),
        None => {
            let detail = format!("`{per}`: say the price for an amount above nothing in {unit}");
            Err(fault("/price/per", "out-of-range", detail))
        }
    }
}

/// Why a lot has a price that its receipt did not say.
const FROM_THE_LIST: &str = "no price was written: it took that of the list on its date";

/// The price that the list had on the date of a receipt which says none; it stays with the lot,
/// whatever becomes of the list.
fn listed(
    bakery: &Bakery,
    receipt: &Receipt,
    amount_micro: i64,
) -> Result<Option<(Money, i64)>, Refusal> {
    let Some(item) = bakery.index().item(receipt.item.as_str()) else { return Ok(None) };
    let (packs, supplier) = (&bakery.lists().packs, receipt.supplier.as_ref());
    let on = (receipt.received, Some(amount_micro));
    let price = price_of_received(bakery.item(item), packs, supplier, on).map_err(refused)?;
    let whole = |number| i64::try_from(number).ok();
    Ok(price.and_then(|price| {
        let minor = whole(price.numerator())?;
        Some((Money { minor, currency: bakery.site().currency }, whole(price.denominator())?))
    }))
}

fn lot_row(
    site: &str,
    now: Timestamp,
    receipt: &Receipt,
    (lot, unit, price): (&str, Unit, Option<(Money, i64)>),
) -> LotRow {
    let Receipt {
        item,
        lot: _,
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
        allergens: _,
        price: _,
        who: _,
        document: _,
    } = receipt;
    let date = |date: &Option<Date>| date.map(|date| date.to_string());
    let id = clock::new_id(now).to_string();
    LotRow {
        use_by: date(use_by),
        best_before: date(best_before),
        usable_until: usable_until.map(instant::text),
        baked: date(baked),
        arrives: arrives.map(instant::text),
        place: place.as_ref().map(Code::to_string),
        supplier: supplier.as_ref().map(Code::to_string),
        state: state.word().to_owned(),
        usage: held::usage_word(*usage).to_owned(),
        made_at: made_at.map(instant::text),
        frozen_at: (*state == LotState::Frozen).then(|| instant::text(now)),
        price_minor: price.map(|(money, _)| money.minor),
        price_currency: price.map(|(money, _)| money.currency.to_string()),
        price_per_micro: price.map(|(_, per_micro)| per_micro),
        ..LotRow::new(site, id, (lot, item.as_str(), unit.symbol()), received.to_string())
    }
}
