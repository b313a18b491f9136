//! Sending an order, the supplier's answer, and the end of it.

use super::{OrderHistory, fault, ready, record};
use crate::{
    document::Fault,
    service::{Refusal, loads::Step},
    state::State,
    store::Tx,
};
use domain::supplier_order::{SupplierOrderState, SupplierOrderStep};
use jiff::Timestamp;

/// What the supplier says that it brings of one line.
#[derive(Debug, Clone)]
pub struct AgreedLine {
    /// Number of the line.
    pub line: i64,
    /// How many packs.
    pub packs: i64,
    /// Why it is another number.
    pub reason: Option<String>,
}

/// A supplier's answer to an order.
#[derive(Debug, Clone)]
pub struct Agreement {
    /// Lines that differ, or were confirmed one by one; the others stand as ordered.
    pub lines: Vec<AgreedLine>,
    /// The supplier's own name for the order.
    pub their_reference: Option<String>,
    /// When it comes, if that is another time than agreed.
    pub arrives: Option<Timestamp>,
}

/// Notes that an order went out. From then on the plan counts on it.
///
/// # Errors
/// `order-step`; `cutoff-gone` and `below-minimum` unless somebody there agreed.
pub fn send(
    state: &State,
    tx: &mut Tx,
    (id, said): (&str, &Step),
    agreed_with: Option<&str>,
) -> Result<OrderHistory, Refusal> {
    let mut order = ready(state, tx, (id, said), SupplierOrderStep::Send)?;
    let sent_at = said.happened_at.unwrap_or(state.now());
    if order.arrives <= state.now() {
        let detail = "its delivery is over: cancel it and draft a new one";
        return Err(Refusal::stated("cutoff-gone", detail));
    }
    let by_agreement = "ring them, and say who agreed in agreed_with";
    // An order exactly at the cutoff is in time.
    if sent_at > order.cutoff && agreed_with.is_none() {
        let detail = format!("the cutoff of {} is gone: {by_agreement}", order.reference());
        return Err(Refusal::stated("cutoff-gone", detail));
    }
    let body = &order.body;
    if body.refused_below && body.goods_minor < body.minimum_minor && agreed_with.is_none() {
        let gap = body.minimum_minor - body.goods_minor;
        let detail = format!(
            "the supplier takes no order below its minimum, and {gap} minor units are missing: \
             add to it, or {by_agreement}"
        );
        return Err(Refusal::stated("below-minimum", detail));
    }
    order.state = SupplierOrderState::Sent;
    record(state, tx, &mut order, ("sent", said, false))
}

/// Notes what the supplier will bring. What it cut is on its way no longer.
///
/// # Errors
/// `order-step`, [`Refusal::Body`] with every fault.
pub fn acknowledge(
    state: &State,
    tx: &mut Tx,
    (id, said): (&str, &Step),
    agreement: &Agreement,
) -> Result<OrderHistory, Refusal> {
    let mut order = ready(state, tx, (id, said), SupplierOrderStep::Acknowledge)?;
    let mut faults = Vec::new();
    for (row, one) in agreement.lines.iter().enumerate() {
        let mut refuse = |field: &str, kind, detail: String| {
            faults.push(Fault { pointer: format!("/lines/{row}/{field}"), kind, detail });
        };
        if agreement.lines[..row].iter().any(|other| other.line == one.line) {
            refuse("line", "duplicate-code", format!("line {} stands twice", one.line));
        }
        match order.body.lines.iter_mut().find(|line| line.number == one.line) {
            None => refuse("line", "unknown-code", format!("the order has no line {}", one.line)),
            Some(line) if one.packs < line.received || one.packs > 100_000 => {
                let came = line.received;
                refuse("packs", "out-of-range", format!("write {came} (that came) to 100000"));
            }
            Some(line) => {
                (line.agreed, line.cut_reason) = (Some(one.packs), one.reason.clone());
                line.settled |= line.received >= one.packs;
            }
        }
    }
    if !faults.is_empty() {
        return Err(Refusal::Body(faults));
    }
    for line in order.body.lines.iter_mut().filter(|line| line.agreed.is_none()) {
        line.agreed = Some(line.packs);
    }
    if let Some(arrives) = agreement.arrives {
        if arrives <= state.now() {
            let detail = format!("`{arrives}` is past: say when it will come");
            return Err(fault("/arrives", "out-of-range", detail));
        }
        order.arrives = arrives;
    }
    if agreement.their_reference.is_some() {
        order.body.their_reference.clone_from(&agreement.their_reference);
    }
    if order.state == SupplierOrderState::Sent {
        order.state = SupplierOrderState::Acknowledged;
    }
    record(state, tx, &mut order, ("acknowledged", said, false))
}

/// Waits for nothing more of an order.
///
/// # Errors
/// `order-step`
pub fn close(state: &State, tx: &mut Tx, said: (&str, &Step)) -> Result<OrderHistory, Refusal> {
    let mut order = ready(state, tx, said, SupplierOrderStep::Close)?;
    order.state = SupplierOrderState::Closed;
    record(state, tx, &mut order, ("closed", said.1, false))
}

/// Gives up a draft.
///
/// # Errors
/// `order-step`
pub fn cancel(state: &State, tx: &mut Tx, said: (&str, &Step)) -> Result<OrderHistory, Refusal> {
    let mut order = ready(state, tx, said, SupplierOrderStep::Cancel)?;
    order.state = SupplierOrderState::Cancelled;
    record(state, tx, &mut order, ("cancelled", said.1, false))
}
