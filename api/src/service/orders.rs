//! Orders: taken whole, kept as versions, never taken twice.
//!
//! An amendment is the whole order under the next version, and the highest version
//! is the one that is held, whatever the order of arrival. A version of which no line can
//! be taken leaves the one before it as it stands.

pub mod check;
mod desk;
mod held;
mod quantity;
mod standing;
mod take;
mod words;

pub use desk::{Desk, Judging, Settled};
pub use held::{find, held_version, list, take_out};
pub use quantity::Quantity;
pub use standing::settled_slots;
pub use take::{cancel, take};

use super::Refusal;
use crate::{document::Fault, messages::Sentence, store::StoreError};
use domain::{bakery::Bakery, calendar, customer::Customer, id::Code, order::Wanted};
use jiff::{
    Timestamp,
    civil::{Date, Time},
    tz::TimeZone,
};

/// What happens to the good lines of an order when one is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LinesRule {
    /// They are taken.
    LineByLine,
    /// They are refused too.
    AllOrNothing,
}

/// What an order means for a standing order of the same customer, date and drop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OverStanding {
    /// It takes its place, even if it is called off later.
    Replaces,
    /// It comes on top.
    Adds,
}

/// What an order means for the counter par of its customer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CounterPar {
    /// It comes on top of it.
    OnTop,
    /// It comes out of it.
    OutOf,
}

impl CounterPar {
    /// The stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::OnTop => "on_top",
            Self::OutOf => "out_of",
        }
    }

    /// What a stored word means.
    ///
    /// # Errors
    /// [`StoreError`] for a word that nobody wrote.
    pub fn read(word: Option<&str>) -> Result<Option<Self>, StoreError> {
        match word {
            None => Ok(None),
            Some("on_top") => Ok(Some(Self::OnTop)),
            Some("out_of") => Ok(Some(Self::OutOf)),
            Some(_) => Err(StoreError::Corrupt("counter par")),
        }
    }

    /// Why the lines of an order are wanted; nothing said is on top, so that nobody's order
    /// shrinks a counter by silence.
    #[must_use]
    pub const fn wanted(said: Option<Self>) -> Wanted {
        match said {
            Some(Self::OutOf) => Wanted::OutOfPar,
            Some(Self::OnTop) | None => Wanted::Ordered,
        }
    }
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
    /// A window between two steps would have to be longer or shorter than it may be.
    AgeWindow,
    /// A mixer, oven or place has no room for it.
    Capacity,
    /// A mixer cannot take the load.
    Mixer,
    /// An ingredient is missing and cannot be had in time.
    Ingredient,
    /// A standing order covers the same drop.
    StandingOrder,
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
    /// It waits for a word: a standing order covers its drop.
    Held,
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
    /// A standing order covers its drop, and it does not say what it means for that one.
    HeldDuplicate,
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
    /// What it means for a standing order of its drop, if it says so.
    pub standing: Option<OverStanding>,
    /// What it means for the counter par of its customer, if it says so.
    pub counter_par: Option<CounterPar>,
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
    /// All lines of a higher version were refused: the one before it stands.
    Refused,
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
    /// A higher version that was refused whole, if that is what is answered.
    pub refused: Option<Version>,
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
    /// What it means for a standing order of its drop, if it says so.
    pub standing: Option<OverStanding>,
    /// What it means for the counter par of its customer: what it said, or what is usual
    /// for that customer; none, as on top, if nobody said.
    pub counter_par: Option<CounterPar>,
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
    pub sentence: Option<Sentence>,
}

/// What an order means for the counter par of its customer: what it says, or what is usual.
fn counter_par(customer: &Customer, asked: &Asked) -> Option<CounterPar> {
    let usual = customer.books_out_of_par.then_some(CounterPar::OutOf);
    asked.counter_par.or(usual)
}

/// Why the lines of an order are wanted.
#[must_use]
pub fn wanted_of(customer: &Customer, asked: &Asked) -> Wanted {
    CounterPar::wanted(counter_par(customer, asked))
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

/// The last moment for changes that a product states for itself.
fn product_cutoff(
    bakery: &Bakery,
    product: &str,
    service_date: Date,
) -> Result<Option<Timestamp>, Refusal> {
    let position = bakery.index().product(product);
    let cutoff = position.and_then(|at| bakery.product(at).cutoff);
    let zone = &bakery.site().time_zone;
    cutoff.map(|at| calendar::instant_at(zone, service_date, at).map_err(beyond)).transpose()
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

#[cfg(test)]
pub(in crate::service) mod tests;
