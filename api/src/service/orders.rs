//! Orders: taken whole, kept as versions, never taken twice.
//!
//! An amendment is the whole order under the next version, and the highest version
//! is the one that is held, whatever the order of arrival.

pub mod check;
mod desk;
mod held;
mod quantity;
mod words;

pub use desk::{Desk, Judging, Settled, take_out};
pub use held::{find, held_version, list};
pub use quantity::Quantity;

use super::Refusal;
use crate::{
    clock, digest,
    document::Fault,
    store::{
        StoreError, Tx, instant,
        orders::{self, OrderLineRow, OrderRow, OrderVersionRow},
        sites,
    },
};
use domain::{bakery::Bakery, calendar, customer::Customer, id::Code};
use held::{asked_version, held_order};
use jiff::{
    Timestamp,
    civil::{Date, Time},
    tz::TimeZone,
};
use std::sync::Arc;

/// What happens to the good lines of an order when one is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LinesRule {
    /// They are taken.
    LineByLine,
    /// They are refused too.
    AllOrNothing,
}

/// Why a line was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineReason {
    /// Nothing of this code is sold.
    UnknownProduct,
    /// Fewer than no pieces.
    NegativeQuantity,
    /// A part of a piece.
    FractionalQuantity,
    /// More pieces than one line may have.
    TooLarge,
    /// Another line was refused and the order is all or nothing.
    AllOrNothing,
    /// Finished stock covers it.
    FromStock,
    /// Pieces made beyond what was ordered cover it.
    FromOvers,
    /// A load beside those that are begun would make it.
    ExtraLoad,
    /// Fewer are wanted than are begun.
    Surplus,
    /// The first step, or the drop, is past.
    TooLate,
    /// The customer's cutoff is past.
    Cutoff,
    /// Nobody is there when a step would have to run.
    Staff,
    /// A mixer, oven or place has no room for it.
    Capacity,
    /// A mixer cannot take the load.
    Mixer,
    /// An ingredient is missing and cannot be had in time.
    Ingredient,
}

/// What became of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineState {
    /// It is made.
    Taken,
    /// A part of it is made.
    PartTaken,
    /// It is not made.
    Refused,
    /// The customer wants none.
    Cancelled,
}

/// What became of an order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OrderState {
    /// All of it is taken.
    Taken,
    /// It came after the cutoff: counted, and to be settled by a person.
    TakenLateAsking,
    /// Some lines were refused.
    PartTaken,
    /// All lines were refused.
    Refused,
    /// It is called off.
    Cancelled,
}

/// A whole order as a customer asks for it.
#[derive(Debug, Clone)]
pub struct Asked {
    /// The sender's name for it.
    pub order_ref: String,
    /// The sender's number, from 1.
    pub version: i64,
    /// Who orders.
    pub customer: Code,
    /// For which local date.
    pub service_date: Date,
    /// Local time of delivery or collection.
    pub drop: Time,
    /// What happens to good lines beside bad ones.
    pub lines_rule: LinesRule,
    /// What is wanted.
    pub lines: Vec<AskedLine>,
}

/// One line of an order as it is asked for.
#[derive(Debug, Clone)]
pub struct AskedLine {
    /// The sender's name for it.
    pub line_ref: String,
    /// Code of the product; if nothing has it, the line is refused and not the order.
    pub product: String,
    /// How many.
    pub quantity: Quantity,
}

impl AskedLine {
    /// A line that wants nothing more of what a line holds.
    fn none_of(line: &Line) -> Self {
        Self {
            line_ref: line.line_ref.clone(),
            product: line.product.clone(),
            quantity: Quantity { text: "0".to_owned(), pieces: Ok(0) },
        }
    }
}

/// What a request did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Effect {
    /// The first version of the order is held.
    Created,
    /// A higher version is held.
    Changed,
    /// Nothing: the same was asked before.
    Repeated,
    /// Nothing: a higher version or a cancellation is held.
    Stale,
}

/// An order as it is held.
#[derive(Debug, Clone)]
pub struct Order {
    /// The sender's name for it.
    pub order_ref: String,
    /// Our name for it: a UUID of version 7.
    pub order_id: String,
    /// The version that is held.
    pub held: Version,
    /// The bakery's clock, on which its instants are shown.
    pub zone: TimeZone,
}

/// One version of an order.
#[derive(Debug, Clone)]
pub struct Version {
    /// The sender's number.
    pub version: i64,
    /// What became of it.
    pub state: OrderState,
    /// Who ordered; none for a cancellation that came first.
    pub customer: Option<String>,
    /// For which local date; none for a cancellation that came first.
    pub service_date: Option<Date>,
    /// Local time of delivery or collection; none for a cancellation that came first.
    pub drop: Option<Time>,
    /// What happens to good lines beside bad ones.
    pub lines_rule: LinesRule,
    /// Last moment for changes, if the customer has one.
    pub cutoff: Option<Timestamp>,
    /// When it came.
    pub received_at: Timestamp,
    /// The plan revision that it made.
    pub plan_revision: i64,
    /// What became of its lines.
    pub lines: Vec<Line>,
}

/// One line of a version.
#[derive(Debug, Clone)]
pub struct Line {
    /// The sender's name for it.
    pub line_ref: String,
    /// Code of the product, as it was asked.
    pub product: String,
    /// How many were asked, as it was written.
    pub quantity_asked: String,
    /// How many pieces are taken.
    pub quantity_taken: i64,
    /// What became of it.
    pub state: LineState,
    /// Why it was not taken whole, or what is to be known of it.
    pub reason: Option<LineReason>,
    /// Pieces that are begun and that nobody wants any more.
    pub surplus: i64,
    /// The last moment for changes that applied to it, if one was looked up.
    pub cutoff: Option<Timestamp>,
    /// The next time that works, if this one does not.
    pub earliest: Option<Timestamp>,
    /// What was said of it, if that is more than state and reason say.
    pub sentence: Option<String>,
}

/// What a cancellation leaves in place of a digest of an order.
const CANCELLATION: &str = "cancellation";

/// Takes an order, or says that nothing had to be done.
///
/// # Errors
/// [`Refusal::Body`] for a customer whom nobody knows, [`Refusal::Stated`] for a version
/// that was used for another content.
pub fn take(
    tx: &mut Tx,
    site: &str,
    desk: &mut Desk,
    asked: &Asked,
) -> Result<(Order, Effect), Refusal> {
    let (bakery, now) = (Arc::clone(&desk.bakery), desk.now);
    let zone = &bakery.site().time_zone;
    let fingerprint = fingerprint(asked)?;
    let row = orders::find(tx, site, &asked.order_ref)?;
    if let Some(row) = row.as_ref().filter(|row| row.version >= asked.version) {
        let effect = standing(tx, site, row, asked.version, &fingerprint)?;
        return Ok((held_order(tx, site, row, zone)?, effect));
    }
    let before = row.as_ref().map(|row| held_order(tx, site, row, zone)).transpose()?;
    let settled = desk.settle(tx, site, asked, before.as_ref().map(|order| &order.held))?;
    let cause = format!("order {} version {}", asked.order_ref, asked.version);
    let change = sites::Change { at: now, cause: &cause, bakery_changed: false };
    let version = Version {
        version: asked.version,
        state: settled.state,
        customer: Some(asked.customer.to_string()),
        service_date: Some(asked.service_date),
        drop: Some(asked.drop),
        lines_rule: asked.lines_rule,
        cutoff: settled.cutoff,
        received_at: now,
        plan_revision: sites::bump(tx, site, change)?,
        lines: settled.lines,
    };
    desk.note_change();
    hold(tx, site, row, &asked.order_ref, version, &fingerprint, zone)
}

/// Calls an order off; if it never came, leaves a tombstone that its arrival meets.
///
/// # Errors
/// [`Refusal::Stated`] for a version that was used for an order.
pub fn cancel(
    tx: &mut Tx,
    site: &str,
    desk: &mut Desk,
    order_ref: &str,
    version: i64,
) -> Result<(Order, Effect), Refusal> {
    let (bakery, now) = (Arc::clone(&desk.bakery), desk.now);
    let zone = &bakery.site().time_zone;
    let row = orders::find(tx, site, order_ref)?;
    if let Some(row) = row.as_ref().filter(|row| row.version >= version) {
        let effect = standing(tx, site, row, version, CANCELLATION)?;
        return Ok((held_order(tx, site, row, zone)?, effect));
    }
    let before = row.as_ref().map(|row| held_order(tx, site, row, zone)).transpose()?;
    let held = before.map(|order| order.held);
    let lines = match &held {
        Some(held) => desk.call_off(tx, site, order_ref, held)?,
        None => Vec::new(),
    };
    let cause = format!("order {order_ref} cancelled as version {version}");
    let change = sites::Change { at: now, cause: &cause, bakery_changed: false };
    let cancelled = Version {
        version,
        state: OrderState::Cancelled,
        customer: held.as_ref().and_then(|held| held.customer.clone()),
        service_date: held.as_ref().and_then(|held| held.service_date),
        drop: held.as_ref().and_then(|held| held.drop),
        lines_rule: held.as_ref().map_or(LinesRule::LineByLine, |held| held.lines_rule),
        cutoff: held.as_ref().and_then(|held| held.cutoff),
        received_at: now,
        plan_revision: sites::bump(tx, site, change)?,
        lines,
    };
    desk.note_change();
    hold(tx, site, row, order_ref, cancelled, CANCELLATION, zone)
}

/// What a version that is not higher than the held one means.
fn standing(
    tx: &mut Tx,
    site: &str,
    row: &OrderRow,
    version: i64,
    fingerprint: &str,
) -> Result<Effect, Refusal> {
    if version < row.version {
        return Ok(Effect::Stale);
    }
    let held = asked_version(tx, site, row)?;
    if held.fingerprint == fingerprint {
        return Ok(Effect::Repeated);
    }
    if held.fingerprint == CANCELLATION {
        // An order that comes after its cancellation stays called off.
        return Ok(Effect::Stale);
    }
    Err(Refusal::Stated {
        slug: "version-reused",
        detail: format!(
            "version {version} of order `{}` is held with other content: send what you want \
             as version {}",
            row.order_ref,
            version.saturating_add(1)
        ),
    })
}

fn customer<'a>(bakery: &'a Bakery, code: &Code) -> Result<&'a Customer, Refusal> {
    let position = bakery.index().customer(code.as_str()).ok_or_else(|| {
        Refusal::Body(vec![Fault {
            pointer: "/customer".to_owned(),
            kind: "unknown-code",
            detail: format!(
                "there is no customer `{code}`: the order was not taken; \
                 add the customer or mend the code"
            ),
        }])
    })?;
    Ok(&bakery.lists().customers[position as usize])
}

fn cutoff(
    bakery: &Bakery,
    customer: &Customer,
    service_date: Date,
) -> Result<Option<Timestamp>, Refusal> {
    let zone = &bakery.site().time_zone;
    let at = |at| calendar::instant_at(zone, service_date, at).map_err(beyond);
    customer.cutoff.map(at).transpose()
}

fn beyond(error: calendar::OutOfCalendar) -> Refusal {
    Refusal::Body(vec![Fault {
        pointer: "/service_date".to_owned(),
        kind: "out-of-range",
        detail: error.to_string(),
    }])
}

fn judge(bakery: &Bakery, asked: &Asked) -> Vec<Line> {
    let mut lines: Vec<Line> = asked.lines.iter().map(|line| judge_line(bakery, line)).collect();
    let refused = lines.iter().any(|line| line.state == LineState::Refused);
    if refused && asked.lines_rule == LinesRule::AllOrNothing {
        for line in lines.iter_mut().filter(|line| line.state != LineState::Refused) {
            line.quantity_taken = 0;
            line.state = LineState::Refused;
            line.reason = Some(LineReason::AllOrNothing);
        }
    }
    lines
}

fn judge_line(bakery: &Bakery, asked: &AskedLine) -> Line {
    let known = bakery.index().product(&asked.product).is_some();
    let (quantity_taken, state, reason) = match asked.quantity.pieces {
        // Nothing of a product that is no longer sold is still nothing.
        Ok(0) => (0, LineState::Cancelled, None),
        _ if !known => (0, LineState::Refused, Some(LineReason::UnknownProduct)),
        Ok(pieces) => (pieces, LineState::Taken, None),
        Err(reason) => (0, LineState::Refused, Some(reason)),
    };
    Line {
        line_ref: asked.line_ref.clone(),
        product: asked.product.clone(),
        quantity_asked: asked.quantity.text.clone(),
        quantity_taken,
        state,
        reason,
        surplus: 0,
        cutoff: None,
        earliest: None,
        sentence: None,
    }
}

/// The word for an order with these lines.
///
/// Lateness is told before refused lines: the lines say themselves that they are refused.
fn state_of(lines: &[Line], late: bool) -> OrderState {
    let any = |state| lines.iter().any(|line| line.state == state);
    if lines.iter().all(|line| line.state == LineState::Refused) {
        OrderState::Refused
    } else if late && (any(LineState::Taken) || any(LineState::PartTaken)) {
        OrderState::TakenLateAsking
    } else if any(LineState::Refused) || any(LineState::PartTaken) {
        OrderState::PartTaken
    } else {
        OrderState::Taken
    }
}

/// A digest of all that an order asks for.
fn fingerprint(asked: &Asked) -> Result<String, Refusal> {
    let lines: Vec<_> = asked
        .lines
        .iter()
        .map(|line| (&line.line_ref, &line.product, &line.quantity.text))
        .collect();
    let head = (
        asked.customer.as_str(),
        asked.service_date.to_string(),
        asked.drop.to_string(),
        held::rule_word(asked.lines_rule),
    );
    let text = serde_json::to_string(&(head, lines)).map_err(|_| StoreError::Corrupt("order"))?;
    Ok(digest::of([text.as_bytes()]))
}

fn hold(
    tx: &mut Tx,
    site: &str,
    before: Option<OrderRow>,
    order_ref: &str,
    version: Version,
    fingerprint: &str,
    zone: &TimeZone,
) -> Result<(Order, Effect), Refusal> {
    let effect = if before.is_some() { Effect::Changed } else { Effect::Created };
    let received_at = instant::text(version.received_at);
    let service_date = version.service_date.map(|date| date.to_string());
    let before = before.map(|row| (row.order_id, row.taken_at));
    let (order_id, taken_at) = before
        .unwrap_or_else(|| (clock::new_id(version.received_at).to_string(), received_at.clone()));
    let order = OrderRow {
        site: site.to_owned(),
        order_ref: order_ref.to_owned(),
        order_id: order_id.clone(),
        version: version.version,
        service_date: service_date.clone(),
        taken_at,
    };
    let row = OrderVersionRow {
        site: site.to_owned(),
        order_ref: order_ref.to_owned(),
        version: version.version,
        customer: version.customer.clone(),
        service_date,
        drop_time: version.drop.map(held::drop_text),
        lines_rule: held::rule_word(version.lines_rule).to_owned(),
        state: version.state.word().to_owned(),
        cutoff: version.cutoff.map(instant::text),
        received_at,
        fingerprint: fingerprint.to_owned(),
        plan_revision: version.plan_revision,
    };
    let lines: Vec<OrderLineRow> = (0_i64..)
        .zip(&version.lines)
        .map(|(position, line)| held::line_row(site, order_ref, version.version, position, line))
        .collect();
    orders::hold(tx, &order, &row, &lines)?;
    let held =
        Order { order_ref: order_ref.to_owned(), order_id, held: version, zone: zone.clone() };
    Ok((held, effect))
}

#[cfg(test)]
mod tests;
