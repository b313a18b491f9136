//! Orders beside standing orders: a posted one takes the place of the standing one, comes
//! on top of it, or waits until somebody says which.

use super::{
    Asked, Line, LineReason, LineState, OrderState, OverStanding, Refusal, Settled, Version,
    held::{drop_text, order_state},
};
use crate::{
    document::parse_time,
    service::book::{code, date},
    store::{
        StoreError, Tx,
        orders::{self, SlotRow},
    },
};
use domain::{bakery::Bakery, demand::Slot};
use jiff::civil::Date;
use std::collections::BTreeSet;

impl OverStanding {
    /// The stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Replaces => "replaces",
            Self::Adds => "adds",
        }
    }
}

/// What an order means for a standing order: what it says, or what the version before it
/// said of the same drop.
pub(super) fn word(asked: &Asked, held: Option<&Version>) -> Option<OverStanding> {
    asked.standing.or_else(|| held.filter(|held| same_slot(held, asked))?.standing)
}

/// What an order is judged against, as far as it is the customer's already.
pub(super) enum Base {
    /// A standing order covers the drop, and nobody says what the order means for it.
    Duplicate,
    /// What is held of the order, with the standing order if that is replaced.
    Held(Option<Version>),
}

/// Looks up the standing order of a drop and what an order means for it.
///
/// # Source
/// trade.md 2.10; nasty case 9.
pub(super) fn base(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    asked: &Asked,
    held: Option<&Version>,
) -> Result<Base, Refusal> {
    let before = held.cloned();
    let lines = standing_lines(bakery, asked);
    // What stood in the way of the standing order goes on doing so.
    let own = held.filter(|held| same_slot(held, asked));
    if lines.is_empty() || own.is_some_and(|own| settles(own.standing, own.state)) {
        return Ok(Base::Held(before));
    }
    let date = asked.service_date.to_string();
    for row in orders::slots(tx, site, (&date, &date))? {
        let of_slot = row.order_ref != asked.order_ref
            && row.customer.as_deref() == Some(asked.customer.as_str())
            && row.drop_time == Some(drop_text(asked.drop));
        if of_slot && row_settles(&row)? {
            return Ok(Base::Held(before));
        }
    }
    Ok(match word(asked, held) {
        None => Base::Duplicate,
        Some(OverStanding::Adds) => Base::Held(before),
        Some(OverStanding::Replaces) => Base::Held(Some(replaced(asked, own, lines))),
    })
}

/// The pieces of a standing order, and those of the version before, as one version.
fn replaced(asked: &Asked, own: Option<&Version>, mut lines: Vec<Line>) -> Version {
    lines.extend(own.into_iter().flat_map(|own| own.lines.iter().cloned()));
    Version {
        version: own.map_or(0, |own| own.version),
        state: OrderState::Taken,
        customer: Some(asked.customer.to_string()),
        service_date: Some(asked.service_date),
        drop: Some(asked.drop),
        lines_rule: asked.lines_rule,
        standing: Some(OverStanding::Replaces),
        counter_par: own.and_then(|own| own.counter_par),
        cutoff: None,
        received_at: own.map_or(jiff::Timestamp::UNIX_EPOCH, |own| own.received_at),
        plan_revision: own.map_or(0, |own| own.plan_revision),
        lines,
    }
}

/// What the customer's standing orders want at an order's drop, as lines that are taken.
fn standing_lines(bakery: &Bakery, asked: &Asked) -> Vec<Line> {
    if !bakery.site().sells_on(asked.service_date) {
        return Vec::new();
    }
    let all = bakery.lists().standing_orders.iter();
    let of_slot = all.filter(|one| one.customer == asked.customer && one.drop == asked.drop);
    let lines = of_slot.flat_map(|one| {
        one.pattern.lines_on(asked.service_date).iter().map(move |line| Line {
            line_ref: one.code.to_string(),
            product: line.product.to_string(),
            quantity_asked: line.pieces.to_string(),
            quantity_taken: line.pieces,
            state: LineState::Taken,
            reason: None,
            surplus: 0,
            cutoff: None,
            earliest: None,
            sentence: None,
        })
    });
    lines.collect()
}

fn same_slot(held: &Version, asked: &Asked) -> bool {
    held.customer.as_deref() == Some(asked.customer.as_str())
        && held.service_date == Some(asked.service_date)
        && held.drop == Some(asked.drop)
}

/// An order of which every good line waits for a word.
pub(super) fn held_duplicate(mut lines: Vec<Line>) -> Settled {
    for line in lines.iter_mut().filter(|line| line.state == LineState::Taken) {
        line.quantity_taken = 0;
        line.state = LineState::Held;
        line.reason = Some(LineReason::StandingOrder);
    }
    let waits = lines.iter().any(|line| line.state == LineState::Held);
    let state = if waits { OrderState::HeldDuplicate } else { super::state_of(&lines, false) };
    Settled { state, cutoff: None, answers: vec![None; lines.len()], lines, to_order: Vec::new() }
}

/// The drops of some service dates that posted orders have settled, both ends in: their
/// standing orders ask for nothing.
///
/// # Errors
/// [`StoreError`]
pub fn settled_slots(
    tx: &mut Tx,
    site: &str,
    (from, until): (Date, Date),
) -> Result<BTreeSet<Slot>, StoreError> {
    let mut settled = BTreeSet::new();
    for row in orders::slots(tx, site, (&from.to_string(), &until.to_string()))? {
        if !row_settles(&row)? {
            continue;
        }
        let (Some(customer), Some(service_date), Some(drop)) =
            (row.customer, row.service_date, row.drop_time)
        else {
            continue;
        };
        settled.insert(Slot {
            customer: code(&customer)?,
            service_date: date(&service_date)?,
            drop: parse_time(&drop).ok_or(StoreError::Corrupt("drop time"))?,
        });
    }
    Ok(settled)
}

fn row_settles(row: &SlotRow) -> Result<bool, StoreError> {
    Ok(settles(read_word(row.standing.as_deref())?, order_state(&row.state)?))
}

/// Whether a held version settles its drop, so that a standing order asks for nothing.
///
/// One that replaces it does so even when it is called off: the customer wants nothing
/// then. One that came before there was a standing order stands alone too.
const fn settles(over: Option<OverStanding>, state: OrderState) -> bool {
    match (over, state) {
        (Some(OverStanding::Adds), _) | (_, OrderState::Refused | OrderState::HeldDuplicate) => {
            false
        }
        (Some(OverStanding::Replaces), _) => true,
        (None, state) => !matches!(state, OrderState::Cancelled),
    }
}

/// A stored word.
///
/// # Errors
/// [`StoreError::Corrupt`]
pub(super) fn read_word(text: Option<&str>) -> Result<Option<OverStanding>, StoreError> {
    match text {
        None => Ok(None),
        Some("replaces") => Ok(Some(OverStanding::Replaces)),
        Some("adds") => Ok(Some(OverStanding::Adds)),
        Some(_) => Err(StoreError::Corrupt("standing")),
    }
}
