//! A draft: from what the plan proposes, or from what a person writes; priced as it stands.

use super::{
    LineBody, OrderBody, OrderHistory, StatedPrice, SupplierOrder, drafted, fault, open, ready,
    record,
};
use crate::{
    clock,
    document::Fault,
    service::{
        Refusal, bakery,
        book::{self, Whole},
        loads::Step,
        plan::{Horizon, Morning, refused},
        reference::Precondition,
    },
    state::State,
    store::{StoreError, Tx, sites, supplier_orders as rows},
};
use domain::{
    bakery::Bakery,
    calendar::add_days,
    id::Code,
    plan::supplier_orders,
    price::{Bill, OrderedPacks, bill, holds_at_least, stated},
    purchase::{Arrival, arrivals},
    supplier::{BelowMinimum, Pack, Supplier},
    supplier_order::{SupplierOrderState, SupplierOrderStep},
};
use jiff::{Timestamp, civil::Date};

/// Most packs of one line.
const PACKS_MAX: i64 = 100_000;
/// Most lines of one order.
const LINES_MAX: usize = 500;
/// Days in which a supplier's next delivery is looked for.
const LOOK_DAYS: i64 = 21;

/// So many of a pack.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PackCount {
    /// Which pack.
    pub pack: Code,
    /// How many.
    pub packs: i64,
}

/// What a draft is asked for.
#[derive(Debug, Clone)]
pub struct DraftAsk {
    /// From whom.
    pub supplier: Code,
    /// By which cutoff; the next one that asks for something if not said.
    pub cutoff: Option<Timestamp>,
    /// Last service date that the plan looks at.
    pub until: Option<Date>,
    /// Its lines; what the plan proposes if not said.
    pub lines: Option<Vec<PackCount>>,
    /// Who drafts it.
    pub said: Step,
}

/// Drafts an order.
///
/// What other drafts and sent orders bring is not proposed again; a second draft for the same
/// cutoff is refused.
///
/// # Errors
/// `order-open`, `nothing-to-order`, `no-delivery`, [`Refusal::Body`] with every fault.
pub fn draft(state: &State, tx: &mut Tx, ask: &DraftAsk) -> Result<OrderHistory, Refusal> {
    let now = state.now();
    let horizon = ask.until.map_or(Horizon::Usual, Horizon::Until);
    let bakery = bakery::load(state, tx)?;
    let until = horizon.until(&bakery, now)?;
    let read = book::whole((tx, &state.site), &bakery, (now, until))?;
    let Whole { bakery, mut book, overdue: _ } = read;
    let revision = sites::find(tx, &state.site)?.plan_revision;
    let index = bakery.index().supplier(ask.supplier.as_str());
    let position = index.ok_or_else(|| unknown("/supplier", "supplier", &ask.supplier))?;
    let supplier = &bakery.lists().suppliers[position as usize];
    let (arrival, lines) = match &ask.lines {
        Some(lines) => (next_arrival(&bakery, supplier, now, ask.cutoff)?, lines.clone()),
        None => {
            book.lots.extend(drafted(tx, &state.site, &bakery, now)?);
            let morning = Morning::new((bakery.clone(), book, revision), now, horizon)?;
            proposed(&morning, position, ask.cutoff)?
                .ok_or_else(|| nothing(tx, &state.site, supplier))?
        }
    };
    not_drafted_yet(tx, &state.site, &ask.supplier, arrival)?;
    let mut order = SupplierOrder {
        id: clock::new_id(now).to_string(),
        number: rows::next_number(tx, &state.site)?,
        supplier: ask.supplier.clone(),
        cutoff: arrival.cutoff,
        arrives: arrival.arrives,
        state: SupplierOrderState::Draft,
        who: ask.said.who.clone(),
        happened_at: now,
        body: priced(&bakery, supplier, arrival.arrives, &lines)?,
    };
    record(state, tx, &mut order, ("drafted", &ask.said, true))
}

/// Gives a draft other lines.
///
/// # Errors
/// `order-step`, `precondition-failed`, [`Refusal::Body`] with every fault.
pub fn edit(
    state: &State,
    tx: &mut Tx,
    (id, said): (&str, &Step),
    lines: &[PackCount],
    precondition: &Precondition,
) -> Result<OrderHistory, Refusal> {
    let mut order = ready(state, tx, (id, said), SupplierOrderStep::Edit)?;
    let held = super::find(tx, &state.site, id)?.etag;
    precondition.check("the order", Some(&held))?;
    let bakery = crate::service::bakery::load(state, tx)?;
    let supplier = supplier_of(&bakery, &order)?;
    order.body = priced(&bakery, supplier, order.arrives, lines)?;
    record(state, tx, &mut order, ("edited", said, false))
}

/// The supplier of an order, as the bakery knows it now.
pub(super) fn supplier_of<'a>(
    bakery: &'a Bakery,
    order: &SupplierOrder,
) -> Result<&'a Supplier, Refusal> {
    let code = order.supplier.to_string();
    let position = bakery.index().supplier(&code);
    let position = position.ok_or(Refusal::Unknown { noun: "supplier", code })?;
    Ok(&bakery.lists().suppliers[position as usize])
}

fn unknown(pointer: &str, noun: &str, code: &Code) -> Refusal {
    fault(pointer, "unknown-code", format!("there is no {noun} `{code}`: mend the code"))
}

/// What the plan proposes for a supplier: for the stated cutoff, or the next one.
fn proposed(
    morning: &Morning,
    supplier: u32,
    cutoff: Option<Timestamp>,
) -> Result<Option<(Arrival, Vec<PackCount>)>, Refusal> {
    let Morning { bakery, book, plan, now, .. } = morning;
    let found = supplier_orders(bakery, book, plan, *now).map_err(refused)?;
    let wanted = found.into_iter().find(|one| {
        one.supplier == supplier
            && !one.lines.is_empty()
            && cutoff.is_none_or(|cutoff| one.arrival.cutoff == cutoff)
    });
    Ok(wanted.map(|one| {
        let pack = |at: u32| bakery.lists().packs[at as usize].code.clone();
        let lines = one.lines.iter();
        let lines = lines.map(|line| PackCount { pack: pack(line.pack), packs: line.packs });
        (one.arrival, lines.collect())
    }))
}

fn nothing(tx: &mut Tx, site: &str, supplier: &Supplier) -> Refusal {
    let open = match open(tx, site) {
        Ok(open) => open,
        Err(error) => return error.into(),
    };
    let open = open.iter().filter(|order| order.supplier == supplier.code);
    let open: Vec<String> = open.map(SupplierOrder::reference).collect();
    let covered = match open.is_empty() {
        true => String::new(),
        false => format!("; open already: {}", open.join(", ")),
    };
    let name = &supplier.name;
    let detail = format!("the plan asks for nothing from {name} by a cutoff that is open{covered}");
    Refusal::stated("nothing-to-order", detail)
}

fn not_drafted_yet(
    tx: &mut Tx,
    site: &str,
    supplier: &Code,
    arrival: Arrival,
) -> Result<(), Refusal> {
    let same = |order: &SupplierOrder| {
        order.state == SupplierOrderState::Draft
            && (&order.supplier, order.cutoff) == (supplier, arrival.cutoff)
    };
    let Some(held) = open(tx, site)?.into_iter().find(same) else { return Ok(()) };
    let (reference, id) = (held.reference(), held.id);
    let detail =
        format!("draft {reference} ({id}) is for this cutoff: edit it, or cancel it first");
    Err(Refusal::stated("order-open", detail))
}

/// The delivery of a stated cutoff, or the next that can be ordered.
fn next_arrival(
    bakery: &Bakery,
    supplier: &Supplier,
    now: Timestamp,
    cutoff: Option<Timestamp>,
) -> Result<Arrival, Refusal> {
    let site = bakery.site();
    let today = site.time_zone.to_datetime(now).date();
    let last = add_days(today, LOOK_DAYS).map_err(refused)?;
    let to = domain::calendar::last_second(&site.time_zone, last).map_err(refused)?;
    let found = arrivals(site, supplier, now, to).map_err(refused)?;
    let mut open = found.into_iter().filter(|one| one.cutoff >= now && !one.ask_supplier);
    let wanted = match cutoff {
        Some(cutoff) => open.find(|one| one.cutoff == cutoff),
        None => open.next(),
    };
    wanted.ok_or_else(|| {
        let detail = format!(
            "{} has no such cutoff that is open: look at its deliveries, or ask them",
            supplier.name
        );
        Refusal::stated("no-delivery", detail)
    })
}

/// Lines at the prices of the day on which they come.
fn priced(
    bakery: &Bakery,
    supplier: &Supplier,
    arrives: Timestamp,
    lines: &[PackCount],
) -> Result<OrderBody, Refusal> {
    let found = checked(bakery, supplier, lines)?;
    let ordered = found.iter().zip(lines).map(|(&(item, pack), line)| OrderedPacks {
        item: bakery.item(item),
        pack,
        packs: line.packs,
    });
    let ordered: Vec<OrderedPacks<'_>> = ordered.collect();
    let on = bakery.site().time_zone.to_datetime(arrives).date();
    let bill = bill(supplier, &ordered, on).map_err(refused)?;
    let mut bodies = Vec::with_capacity(lines.len());
    for (number, (line, billed)) in (1_i64..).zip(ordered.iter().zip(&bill.lines)) {
        let price = stated(line.pack, on, billed.counted).zip(billed.pack_price);
        let least = holds_at_least(line.item, line.pack).map_err(refused)?;
        let least = least.and_then(|least| i64::try_from(least.floor()).ok());
        bodies.push(LineBody {
            price: price.map(|((money, per), each)| StatedPrice {
                minor: money.minor,
                per: (per.decimal(), per.unit().symbol().to_owned()),
                each: each.to_decimal(6),
            }),
            surcharge_minor: billed.surcharge_minor,
            minor: billed.minor,
            ..line_body(number, line, least.ok_or(StoreError::Corrupt("pack"))?)
        });
    }
    Ok(sums(supplier, bodies, bill, bakery.site().currency.as_str()))
}

fn line_body(number: i64, line: &OrderedPacks<'_>, least_micro: i64) -> LineBody {
    let OrderedPacks { item, pack, packs } = *line;
    LineBody {
        number,
        item: item.code.to_string(),
        item_name: item.name.clone(),
        pack: pack.code.to_string(),
        holds: (pack.holds.decimal(), pack.holds.unit().symbol().to_owned()),
        least_micro,
        uneven: pack.catch_weight.is_some(),
        gtin: pack.gtin.as_ref().map(|gtin| gtin.as_str().to_owned()),
        packs,
        agreed: None,
        cut_reason: None,
        received: 0,
        refused: 0,
        settled: false,
        price: None,
        surcharge_minor: 0,
        minor: None,
        tax: pack.tax_percent.map(|percent| percent.to_decimal(6)),
        life_minutes: pack.minimum_life_minutes,
    }
}

fn sums(supplier: &Supplier, lines: Vec<LineBody>, bill: Bill, currency: &str) -> OrderBody {
    let Bill { lines: _, goods_minor, off_minor, carriage_minor, deposit_minor, tax, tax_unknown } =
        bill;
    OrderBody {
        currency: currency.to_owned(),
        lines,
        goods_minor,
        off_minor,
        carriage_minor,
        deposit_minor,
        tax: tax.into_iter().map(|(rate, minor)| (rate.to_decimal(6), minor)).collect(),
        tax_unknown,
        minimum_minor: supplier.minimum_order.minor,
        refused_below: supplier.below_minimum == BelowMinimum::Refused,
        their_reference: None,
    }
}

/// Each line's item and pack; every fault of the lines at once.
fn checked<'a>(
    bakery: &'a Bakery,
    supplier: &Supplier,
    lines: &[PackCount],
) -> Result<Vec<(u32, &'a Pack)>, Refusal> {
    let (mut found, mut faults) = (Vec::with_capacity(lines.len()), Vec::new());
    if lines.is_empty() || lines.len() > LINES_MAX {
        let detail = format!("{} lines: write 1 to {LINES_MAX}", lines.len());
        return Err(fault("/lines", "too-many", detail));
    }
    for (row, line) in lines.iter().enumerate() {
        let mut refuse = |field: &str, kind, detail| {
            faults.push(Fault { pointer: format!("/lines/{row}/{field}"), kind, detail });
        };
        let PackCount { pack: code, packs } = line;
        if lines[..row].iter().any(|other| other.pack == *code) {
            refuse("pack", "duplicate-code", format!("`{code}` is ordered twice: write one line"));
        }
        let pack = bakery.lists().packs.iter().find(|pack| pack.code == *code);
        let item = pack.and_then(|pack| bakery.index().item(pack.item.as_str()));
        let (Some(pack), Some(item)) = (pack, item) else {
            refuse("pack", "unknown-code", format!("there is no pack `{code}`: mend the code"));
            continue;
        };
        if pack.supplier != supplier.code {
            let detail =
                format!("`{code}` comes from {}, not from {}", pack.supplier, supplier.code);
            refuse("pack", "field-mismatch", detail);
        } else if !pack.orderable {
            refuse("pack", "field-mismatch", format!("`{code}` is not ordered as such"));
        }
        if !(1..=PACKS_MAX).contains(packs) {
            refuse("packs", "out-of-range", format!("{packs} packs: write 1 to {PACKS_MAX}"));
        } else if packs % pack.multiple != 0 {
            let up = (packs / pack.multiple + 1) * pack.multiple;
            let detail = format!("`{code}` comes in multiples of {}: {up}?", pack.multiple);
            refuse("packs", "out-of-range", detail);
        }
        found.push((item, pack));
    }
    if faults.is_empty() { Ok(found) } else { Err(Refusal::Body(faults)) }
}
