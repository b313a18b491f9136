//! Orders to suppliers: drafted from the sheet, edited, sent, answered, received against,
//! closed. Each step is an event that stays; the order itself is how things stand.

mod body;
mod draft;
mod expected;
mod receive;
mod steps;

pub use body::{LineBody, OrderBody, StatedPrice};
pub use draft::{DraftAsk, PackCount, draft, edit};
use expected::drafted;
pub use expected::{Expected, OverdueOrder, expected};
pub use receive::{ReceivedLine, receive};
pub use steps::{AgreedLine, Agreement, acknowledge, cancel, close, send};

use super::{Refusal, book::code, fault, loads::Step};
use crate::{
    clock, digest,
    state::State,
    store::{
        StoreError, Tx, instant, sites,
        supplier_orders::{self as rows, SupplierOrderEventRow, SupplierOrderRow},
    },
};
use domain::{
    id::Code,
    supplier_order::{SupplierOrderState, SupplierOrderStep},
};
use jiff::Timestamp;
use serde_json::Value;

/// An order as it is held.
#[derive(Debug, Clone)]
pub struct SupplierOrder {
    /// UUID of version 7.
    pub id: String,
    /// Its number in the shop, from 1.
    pub number: i64,
    /// Who is to bring it.
    pub supplier: Code,
    /// Last moment to send it.
    pub cutoff: Timestamp,
    /// When its goods count: the end of the delivery window.
    pub arrives: Timestamp,
    /// How far it is.
    pub state: SupplierOrderState,
    /// Who set its state.
    pub who: String,
    /// When that happened.
    pub happened_at: Timestamp,
    /// Its lines and sums.
    pub body: OrderBody,
}

/// One step of an order.
#[derive(Debug, Clone)]
pub struct SupplierOrderEvent {
    /// `drafted`, `edited`, `sent`, `acknowledged`, `received`, `closed` or `cancelled`.
    pub step: String,
    /// Who did it.
    pub who: String,
    /// When it happened.
    pub happened_at: Timestamp,
    /// What was sent.
    pub body: Value,
    /// A remark.
    pub note: Option<String>,
    /// The plan revision that it made.
    pub plan_revision: i64,
}

/// An order with all that happened to it.
#[derive(Debug, Clone)]
pub struct OrderHistory {
    /// The order.
    pub order: SupplierOrder,
    /// Its steps, oldest first.
    pub events: Vec<SupplierOrderEvent>,
    /// Names the state in which it is.
    pub etag: String,
    /// Other open orders that bring the same items: reference, item, packs still to come.
    pub also_ordered: Vec<(String, String, i64)>,
}

impl SupplierOrder {
    /// What people call it: the supplier and the number.
    #[must_use]
    pub fn reference(&self) -> String {
        format!("{}-{}", self.supplier, self.number)
    }

    fn must_take(&self, step: SupplierOrderStep) -> Result<(), Refusal> {
        if self.state.takes(step) {
            return Ok(());
        }
        let possible = SupplierOrderStep::ALL.into_iter().filter(|&step| self.state.takes(step));
        let possible: Vec<&str> = possible.map(SupplierOrderStep::word).collect();
        let possible = match possible.is_empty() {
            true => "nothing more can be done with it".to_owned(),
            false => format!("it can be asked to {}", possible.join(", ")),
        };
        let (reference, state) = (self.reference(), self.state.word());
        let detail = format!("order {reference} is {state}, not to {}: {possible}", step.word());
        Err(Refusal::stated("order-step", detail))
    }

    fn row(&self, site: &str) -> Result<SupplierOrderRow, StoreError> {
        Ok(SupplierOrderRow {
            site: site.to_owned(),
            id: self.id.clone(),
            number: self.number,
            supplier: self.supplier.to_string(),
            cutoff: instant::text(self.cutoff),
            arrives: instant::text(self.arrives),
            state: self.state.word().to_owned(),
            who: self.who.clone(),
            happened_at: instant::text(self.happened_at),
            body: serde_json::to_string(&self.body).map_err(|_| StoreError::Corrupt("order"))?,
        })
    }
}

fn order(row: SupplierOrderRow) -> Result<SupplierOrder, StoreError> {
    let SupplierOrderRow {
        site: _,
        id,
        number,
        supplier,
        cutoff,
        arrives,
        state,
        who,
        happened_at,
        body,
    } = row;
    Ok(SupplierOrder {
        id,
        number,
        supplier: code(&supplier)?,
        cutoff: instant::read(&cutoff)?,
        arrives: instant::read(&arrives)?,
        state: SupplierOrderState::parse(&state).ok_or(StoreError::Corrupt("order state"))?,
        who,
        happened_at: instant::read(&happened_at)?,
        body: serde_json::from_str(&body).map_err(|_| StoreError::Corrupt("supplier order"))?,
    })
}

/// Orders after a number, oldest first; at most `limit`.
///
/// # Errors
/// [`StoreError`]
pub fn list(
    tx: &mut Tx,
    site: &str,
    after: i64,
    limit: i64,
) -> Result<Vec<SupplierOrder>, StoreError> {
    rows::list(tx, site, after, limit)?.into_iter().map(order).collect()
}

/// Orders to one supplier, newest first; at most `limit`.
///
/// # Errors
/// [`StoreError`]
pub fn of_supplier(
    tx: &mut Tx,
    site: &str,
    supplier: &str,
    limit: i64,
) -> Result<Vec<SupplierOrder>, StoreError> {
    rows::of_supplier(tx, site, supplier, limit)?.into_iter().map(order).collect()
}

/// Drafts and orders on their way, by number.
///
/// # Errors
/// [`StoreError`]
pub fn open(tx: &mut Tx, site: &str) -> Result<Vec<SupplierOrder>, StoreError> {
    rows::open(tx, site)?.into_iter().map(order).collect()
}

/// An order by its id, with its history.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn find(tx: &mut Tx, site: &str, id: &str) -> Result<OrderHistory, Refusal> {
    let unknown = || Refusal::Unknown { noun: "supplier order", code: id.to_owned() };
    let order = order(rows::find(tx, site, id)?.ok_or_else(unknown)?)?;
    let rows = rows::events(tx, site, id)?;
    let etag = digest::etag(&format!("{id} {}", rows.last().map_or("", |row| &row.id)));
    let events = rows.into_iter().map(event).collect::<Result<_, StoreError>>()?;
    let also_ordered = match order.state == SupplierOrderState::Draft {
        true => also_ordered(tx, site, &order)?,
        false => Vec::new(),
    };
    Ok(OrderHistory { order, events, etag, also_ordered })
}

fn event(row: SupplierOrderEventRow) -> Result<SupplierOrderEvent, StoreError> {
    let SupplierOrderEventRow {
        site: _,
        id: _,
        order_id: _,
        step,
        who,
        happened_at,
        recorded_at: _,
        body,
        note,
        plan_revision,
    } = row;
    Ok(SupplierOrderEvent {
        step,
        who,
        happened_at: instant::read(&happened_at)?,
        body: serde_json::from_str(&body).map_err(|_| StoreError::Corrupt("order event"))?,
        note,
        plan_revision,
    })
}

/// What other open orders bring of the same items, so that nobody orders twice unseen.
fn also_ordered(
    tx: &mut Tx,
    site: &str,
    own: &SupplierOrder,
) -> Result<Vec<(String, String, i64)>, Refusal> {
    let mut found = Vec::new();
    for other in open(tx, site)?.into_iter().filter(|other| other.id != own.id) {
        for line in &other.body.lines {
            let same = own.body.lines.iter().any(|mine| mine.item == line.item);
            let to_come = line.counts().to_come();
            if same && to_come > 0 {
                found.push((other.reference(), line.item_name.clone(), to_come));
            }
        }
    }
    Ok(found)
}

/// Writes what was done: the order as it stands, and the event that stays.
fn record(
    state: &State,
    tx: &mut Tx,
    order: &mut SupplierOrder,
    (step, said, is_new): (&str, &Step, bool),
) -> Result<OrderHistory, Refusal> {
    let now = state.now();
    let happened_at = said.happened_at.unwrap_or(now);
    (order.who, order.happened_at) = (said.who.clone(), happened_at);
    let row = order.row(&state.site)?;
    match is_new {
        true => rows::insert(tx, &row)?,
        false => rows::replace(tx, &row)?,
    }
    let cause = format!("supplier order {} {step} by {}", order.reference(), said.who);
    let change = sites::Change { at: now, cause: &cause, bakery_changed: false };
    let plan_revision = sites::bump(tx, &state.site, change)?;
    let event = SupplierOrderEventRow {
        site: state.site.clone(),
        id: clock::new_id(now).to_string(),
        order_id: order.id.clone(),
        step: step.to_owned(),
        who: said.who.clone(),
        happened_at: instant::text(happened_at),
        recorded_at: instant::text(now),
        body: said.sent.to_string(),
        note: said.note.clone(),
        plan_revision,
    };
    rows::insert_event(tx, &event)?;
    find(tx, &state.site, &order.id)
}

/// The order of an id, if a step is possible and did not happen in the future.
fn ready(
    state: &State,
    tx: &mut Tx,
    (id, said): (&str, &Step),
    step: SupplierOrderStep,
) -> Result<SupplierOrder, Refusal> {
    let OrderHistory { order, .. } = find(tx, &state.site, id)?;
    order.must_take(step)?;
    if let Some(at) = said.happened_at.filter(|&at| at > state.now()) {
        return Err(fault("/happened_at", "out-of-range", format!("`{at}` is still to come")));
    }
    Ok(order)
}
