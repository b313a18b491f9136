//! Goods that come against an order: lots by the usual receipts, and what is still waited for.

use super::{LineBody, OrderHistory, SupplierOrder, ready, record};
use crate::{
    document::Fault,
    service::{
        Refusal,
        book::code,
        loads::Step,
        plan::refused,
        stock::{self, Receipt, ReceiptPrice},
    },
    state::State,
    store::{StoreError, Tx},
};
use domain::{
    id::Code,
    lot::{LotState, LotUse},
    money::{Currency, Money},
    quantity::Quantity,
    ratio::Ratio,
    supplier_order::{SupplierOrderStep, state_after},
};
use jiff::civil::Date;

/// What came of one line.
#[derive(Debug, Clone)]
pub struct ReceivedLine {
    /// Number of the line.
    pub line: i64,
    /// Packs that were taken in.
    pub packs: i64,
    /// What they hold, if that was weighed or is not what the pack says.
    pub quantity: Option<Quantity>,
    /// The name on the pack; a name of the house's own if it has none.
    pub lot: Option<String>,
    /// Never used after this date.
    pub use_by: Option<Date>,
    /// At its best until this date.
    pub best_before: Option<Date>,
    /// Where it was put.
    pub place: Option<Code>,
    /// Whether the list of ingredients is another than on file: it goes on hold.
    pub label_changed: bool,
    /// Packs that were sent back.
    pub refused: i64,
    /// Whether more than was promised is kept.
    pub accept_over: bool,
    /// Whether what is missing is no longer waited for.
    pub settle: bool,
    /// A remark: why it was refused, or taken with a short life.
    pub note: Option<String>,
}

/// Takes in goods against an order: one lot for each line that came.
///
/// # Errors
/// `order-step`, [`Refusal::Body`] with every fault.
pub fn receive(
    state: &State,
    tx: &mut Tx,
    (id, said): (&str, &Step),
    came: &[ReceivedLine],
) -> Result<OrderHistory, Refusal> {
    let mut order = ready(state, tx, (id, said), SupplierOrderStep::Receive)?;
    let bakery = crate::service::bakery::load(state, tx)?;
    let now = state.now();
    let zone = &bakery.site().time_zone;
    let day = zone.to_datetime(said.happened_at.unwrap_or(now)).date();
    checked(&order, came, day)?;
    let (reference, currency) = (order.reference(), order.body.currency.clone());
    for (row, one) in came.iter().enumerate() {
        let place = |at: &&mut LineBody| at.number == one.line;
        let Some(line) = order.body.lines.iter_mut().find(place) else { continue };
        if one.packs > 0 {
            let of = (reference.as_str(), &order.supplier, currency.as_str());
            let receipt = receipt(of, line, one, (day, said))?;
            let taken = stock::receive(tx, &state.site, now, &bakery, &receipt);
            taken.map_err(|refusal| placed(refusal, row))?;
        }
        let after = line.counts().after(one.packs, one.settle);
        (line.received, line.settled) = (after.received, after.settled);
        line.refused += one.refused;
    }
    let counts: Vec<_> = order.body.lines.iter().map(LineBody::counts).collect();
    order.state = state_after(&counts);
    record(state, tx, &mut order, ("received", said, false))
}

/// Every fault of what came, before anything is written.
fn checked(order: &SupplierOrder, came: &[ReceivedLine], day: Date) -> Result<(), Refusal> {
    let mut faults = Vec::new();
    for (row, one) in came.iter().enumerate() {
        let mut refuse = |field: &str, kind, detail: String| {
            faults.push(Fault { pointer: format!("/lines/{row}/{field}"), kind, detail });
        };
        if came[..row].iter().any(|other| (other.line, &other.lot) == (one.line, &one.lot)) {
            let detail = format!("line {} stands twice with one lot", one.line);
            refuse("line", "duplicate-code", detail);
        }
        let Some(line) = order.body.lines.iter().find(|line| line.number == one.line) else {
            refuse("line", "unknown-code", format!("the order has no line {}", one.line));
            continue;
        };
        if one.packs < 0 || one.refused < 0 || one.packs > 100_000 || one.refused > 100_000 {
            refuse("packs", "out-of-range", "write 0 to 100000 packs".to_owned());
            continue;
        }
        let before: i64 = came[..row].iter().filter(|o| o.line == one.line).map(|o| o.packs).sum();
        let (all, promised) = (line.received + before + one.packs, line.counts().promised());
        if all > promised && !one.accept_over {
            let detail = format!(
                "{all} of `{}` would be in the house and {promised} were promised: refuse what is \
                 over, or say accept_over",
                line.pack
            );
            refuse("packs", "out-of-range", detail);
        }
        if line.uneven && one.packs > 0 && one.quantity.is_none() {
            let detail = format!("packs of `{}` are of uneven weight: weigh what came", line.item);
            refuse("quantity", "field-mismatch", detail);
        }
        if one.refused > 0 && one.note.is_none() {
            refuse("note", "field-mismatch", "say why it was sent back".to_owned());
        }
        if let Some(days) = short_life(line, one, day).filter(|_| one.note.is_none()) {
            let detail = format!(
                "{days} days are left, fewer than agreed: refuse it, or say in a note why it is taken"
            );
            refuse("note", "field-mismatch", detail);
        }
    }
    if faults.is_empty() { Ok(()) } else { Err(Refusal::Body(faults)) }
}

/// Days of life at the door, if they are fewer than agreed.
fn short_life(line: &LineBody, one: &ReceivedLine, day: Date) -> Option<i64> {
    let last = one.use_by.or(one.best_before).filter(|_| one.packs > 0)?;
    let agreed = line.life_minutes? / (24 * 60);
    let days = i64::from(day.until(last).ok()?.get_days());
    (days < agreed).then_some(days)
}

fn receipt(
    (reference, supplier, currency): (&str, &Code, &str),
    line: &LineBody,
    one: &ReceivedLine,
    (day, said): (Date, &Step),
) -> Result<Receipt, Refusal> {
    let corrupt = || StoreError::Corrupt("supplier order");
    let holds = Quantity::parse(&line.holds.0, &line.holds.1).map_err(|_| corrupt())?;
    let nominal = holds.ratio().times(Ratio::whole(one.packs.into())).map_err(refused)?;
    let nominal = i64::try_from(nominal.floor()).ok();
    let nominal = nominal.and_then(|micro| Quantity::from_micro(micro, holds.unit()).ok());
    let quantity = one.quantity.or(nominal).ok_or_else(corrupt)?;
    let price = match &line.price {
        None => None,
        Some(price) => Some(ReceiptPrice {
            money: Money {
                minor: price.minor,
                currency: Currency::parse(currency).map_err(|_| corrupt())?,
            },
            per: Some(Quantity::parse(&price.per.0, &price.per.1).map_err(|_| corrupt())?),
        }),
    };
    Ok(Receipt {
        item: code(&line.item)?,
        // A pack without a lot gets one of the house: supplier, date and line.
        lot: Some(one.lot.clone().unwrap_or_else(|| format!("{reference}-{day}-{}", line.number))),
        quantity,
        received: day,
        use_by: one.use_by,
        best_before: one.best_before,
        usable_until: None,
        place: one.place.clone(),
        supplier: Some(supplier.clone()),
        state: if one.label_changed { LotState::Hold } else { LotState::Released },
        usage: LotUse::Any,
        baked: None,
        arrives: None,
        made_at: None,
        allergens: None,
        price,
        who: Some(said.who.clone()),
        document: Some(format!("order {reference}, line {}", line.number)),
    })
}

/// Faults of a receipt as faults of the row that made it.
fn placed(refusal: Refusal, row: usize) -> Refusal {
    let Refusal::Body(faults) = refusal else { return refusal };
    let at = |fault: Fault| Fault { pointer: format!("/lines/{row}{}", fault.pointer), ..fault };
    Refusal::Body(faults.into_iter().map(at).collect())
}
