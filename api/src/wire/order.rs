//! Orders as they come in and as they are answered.

pub mod batch;
pub mod check;

use super::amount::instant;
use crate::{
    document::{Fault, Reader, site::CounterParBody},
    messages::Sentence,
    service::orders::{
        Asked, AskedLine, CounterPar, Line, LineReason, LineState, LinesRule, Order, OverStanding,
        Quantity, Version,
    },
};
use domain::{decision::Cap, limits::PIECES_MAX};
use jiff::tz::TimeZone;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use std::collections::BTreeSet;
use utoipa::ToSchema;

/// Lines of one order.
pub const ORDER_LINES_MAX: usize = 5_000;
/// Highest version number; far beyond what a person or till counts to.
pub const VERSION_MAX: i64 = 1_000_000_000;

/// One whole order. An amendment is the whole order again, under the next version.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OrderBody {
    /// The sender's name for the order, 1 to 200 characters.
    #[schema(example = "till-2-000481")]
    pub order_ref: String,
    /// The sender's number of this version, from 1; the highest is held.
    #[schema(example = 1)]
    pub version: i64,
    /// Code of the customer; an unknown one refuses the order.
    #[schema(example = "harbour-cafe")]
    pub customer: String,
    /// Local date on which the goods are sold or delivered; never inferred.
    #[schema(example = "2026-06-13", required = true)]
    pub service_date: Option<String>,
    /// Local time of delivery or collection, `HH:MM`; never inferred.
    #[schema(example = "07:00", required = true)]
    pub drop: Option<String>,
    /// What is wanted.
    pub lines: Vec<OrderLineBody>,
    /// What happens to good lines beside bad ones; `line_by_line` if absent.
    pub lines_rule: Option<LinesRuleBody>,
    /// What it means for a standing order of the same customer, date and drop. If there is
    /// one and nothing is said, the order is held as a probable duplicate; a later version
    /// for the same drop means what the one before it meant.
    pub standing: Option<OverStandingBody>,
    /// What it means for the counter par of its customer: `on_top` of it or `out_of` it. What
    /// is usual for the customer if absent, and on top if that is not said either.
    pub counter_par: Option<CounterParBody>,
}

/// What an order means for a standing order of its drop.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum OverStandingBody {
    /// It takes its place, even if it is called off later.
    Replaces,
    /// It comes on top.
    Adds,
}

/// One line of an order.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OrderLineBody {
    /// The sender's name for the line, one of a kind in its order.
    #[schema(example = "1")]
    pub line_ref: String,
    /// Code of the product; an unknown one refuses this line only.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// Whole pieces; 0 cancels the line, a negative or fractional number refuses it only.
    #[schema(value_type = i64, example = 6)]
    pub quantity: Box<RawValue>,
}

/// What happens to good lines beside bad ones.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum LinesRuleBody {
    /// They are taken.
    LineByLine,
    /// They are refused too.
    AllOrNothing,
}

/// A cancellation, numbered like a version of the order.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CancelBody {
    /// The version that calls the order off: higher than the one that is held.
    #[schema(example = 2)]
    pub version: i64,
}

impl OrderBody {
    /// The order as it is asked for.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Asked, Vec<Fault>> {
        let mut reader = Reader::default();
        let asked = self.read_with(&mut reader);
        reader.done(asked)
    }

    /// The order as far as it can be read; its faults go to the reader.
    pub fn read_with(&self, reader: &mut Reader) -> Asked {
        let Self {
            order_ref,
            version,
            customer,
            service_date,
            drop,
            lines,
            lines_rule,
            standing,
            counter_par,
        } = self;
        if lines.is_empty() || lines.len() > ORDER_LINES_MAX {
            let detail = format!(
                "the order has {} lines: send 1 to {ORDER_LINES_MAX}, or cancel the order",
                lines.len()
            );
            reader.fault("lines", "too-many", detail);
        }
        let mut line_refs = BTreeSet::new();
        Asked {
            order_ref: reader.words("order_ref", order_ref),
            version: read_version(reader, *version),
            customer: reader.code("customer", customer),
            service_date: needed(reader, "service_date", service_date.as_deref())
                .map(|text| reader.date("service_date", text))
                .unwrap_or_default(),
            drop: needed(reader, "drop", drop.as_deref())
                .map(|text| reader.time("drop", text))
                .unwrap_or_default(),
            lines_rule: match lines_rule {
                Some(LinesRuleBody::AllOrNothing) => LinesRule::AllOrNothing,
                Some(LinesRuleBody::LineByLine) | None => LinesRule::LineByLine,
            },
            standing: standing.map(|standing| match standing {
                OverStandingBody::Replaces => OverStanding::Replaces,
                OverStandingBody::Adds => OverStanding::Adds,
            }),
            counter_par: counter_par.map(|par| match par {
                CounterParBody::OnTop => CounterPar::OnTop,
                CounterParBody::OutOf => CounterPar::OutOf,
            }),
            lines: reader.each("lines", lines, |reader, line| {
                line.read(reader, line_refs.insert(line.line_ref.clone()))
            }),
        }
    }
}

fn needed<'a>(reader: &mut Reader, field: &str, text: Option<&'a str>) -> Option<&'a str> {
    if text.is_none() {
        let detail = format!("{field} is missing: say it, it is never guessed");
        reader.fault(field, "field-mismatch", detail);
    }
    text
}

fn read_version(reader: &mut Reader, version: i64) -> i64 {
    if !(1..=VERSION_MAX).contains(&version) {
        let detail = format!("version is {version}: count from 1 to {VERSION_MAX}");
        reader.fault("version", "out-of-range", detail);
    }
    version
}

impl OrderLineBody {
    fn read(&self, reader: &mut Reader, first: bool) -> AskedLine {
        let Self { line_ref, product, quantity } = self;
        if !first {
            let detail = format!("line_ref `{line_ref}` is used twice: give each line its own");
            reader.fault("line_ref", "duplicate-code", detail);
        }
        let quantity = Quantity::judge(quantity.get()).unwrap_or_else(|| {
            let detail = "quantity is not a number: write whole pieces, such as 6";
            reader.fault("quantity", "invalid-body", detail);
            Quantity { text: "0".to_owned(), pieces: Ok(0) }
        });
        // An unknown product refuses its line, so its text is only kept short here.
        let product = reader.words("product", product);
        AskedLine { line_ref: reader.words("line_ref", line_ref), product, quantity }
    }
}

impl CancelBody {
    /// The version that calls off the order of a name.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self, order_ref: &str) -> Result<i64, Vec<Fault>> {
        let Self { version } = self;
        let mut reader = Reader::default();
        // A tombstone is kept under the name, so it keeps to the bounds of an order's.
        reader.words("order_ref", order_ref);
        let version = read_version(&mut reader, *version);
        reader.done(version)
    }
}

/// An order as it is held after a request.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct OrderView {
    /// The sender's name for the order.
    #[schema(example = "till-2-000481")]
    pub order_ref: String,
    /// Our name for it: a UUID of version 7.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub order_id: String,
    /// The version that is answered: the one that is held, or a higher one that was refused
    /// whole, so that the one before it stands.
    #[schema(example = 1)]
    pub version: i64,
    /// The version that is held.
    #[schema(example = 1)]
    pub version_held: i64,
    /// `taken`, `taken-late-asking`, `part-taken`, `refused`, `held-duplicate` (a standing
    /// order covers the drop: send the next version with `standing`) or `cancelled`.
    #[schema(example = "taken")]
    pub state: &'static str,
    /// What it means for a standing order of its drop: `replaces`, `adds`, or null.
    #[schema(example = json!(null))]
    pub standing: Option<&'static str>,
    /// What it means for the counter par of its customer: `on_top`, `out_of`, or null, which
    /// is on top.
    #[schema(example = json!(null))]
    pub counter_par: Option<&'static str>,
    /// Who ordered; null for a cancellation that came before its order.
    #[schema(example = "harbour-cafe")]
    pub customer: Option<String>,
    /// Local date of sale; null for a cancellation that came before its order.
    #[schema(example = "2026-06-13")]
    pub service_date: Option<String>,
    /// Local time of delivery or collection; null like the date.
    #[schema(example = "07:00")]
    pub drop: Option<String>,
    /// Whether the request had no effect because a higher version or a cancellation is held.
    pub stale: bool,
    /// What became of each line.
    pub lines: Vec<OrderLineView>,
    /// The last moment for changes that applied; null if the customer has none.
    #[schema(example = "2026-06-11T17:00:00+02:00")]
    pub cutoff: Option<String>,
    /// The plan revision that this version made.
    #[schema(example = 17)]
    pub plan_revision: i64,
}

/// What became of a line.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct OrderLineView {
    /// The sender's name for the line.
    #[schema(example = "1")]
    pub line_ref: String,
    /// Code of the product, as it was asked.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// The number that was asked, as it was written.
    #[schema(value_type = i64, example = 6)]
    pub quantity_asked: Box<RawValue>,
    /// Whole pieces that are taken.
    #[schema(example = 6)]
    pub quantity_taken: i64,
    /// `taken`, `part-taken`, `refused`, `held` or `cancelled`.
    #[schema(example = "taken")]
    pub state: &'static str,
    /// Why it was refused: `unknown-product`, `negative-quantity`, `fractional-quantity`,
    /// `too-large` or `all-or-nothing`; why it was taken in part or not at all: `too-late`,
    /// `ingredient`, `mixer`, `capacity`, `age-window` or `staff`; why it is held:
    /// `standing-order`; what is to be known of it: `from-stock`, `from-overs`,
    /// `extra-load`, `cutoff` (it came after it) or `surplus`; null if nothing.
    #[schema(example = json!(null))]
    pub reason: Option<&'static str>,
    /// The same in a plain sentence.
    #[schema(value_type = String, example = "6 pieces taken.")]
    pub sentence: Sentence,
    /// Pieces that were begun already and that nobody wants any more.
    #[schema(example = 0)]
    pub surplus: i64,
    /// The last moment for changes of this line: the customer's cutoff, or the first step
    /// if that is earlier; null if neither is known.
    #[schema(example = "2026-06-11T12:54:00+02:00")]
    pub cutoff: Option<String>,
    /// The next time at which all of it could be ready; null if it is taken as it is, or
    /// if no day was found.
    #[schema(example = json!(null))]
    pub earliest: Option<String>,
}

/// An order with all its versions.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct HistoryView {
    /// The order as it is held.
    #[serde(flatten)]
    pub order: OrderView,
    /// Every version that came, lowest number first.
    pub history: Vec<VersionView>,
    /// Where there is too little: what its lines get at most by decision.
    pub decided: Vec<LineDecidedView>,
}

/// What lines of a customer, product and drop get by decision.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LineDecidedView {
    /// Which product.
    #[schema(example = "croissant")]
    pub product: String,
    /// Whole pieces at most, over all its orders for that drop.
    #[schema(example = 31)]
    pub pieces: i64,
    /// Who decided.
    #[schema(example = "Anna")]
    pub who: String,
    /// Why.
    pub note: String,
}

/// One version of an order.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct VersionView {
    /// The sender's number.
    #[schema(example = 1)]
    pub version: i64,
    /// `taken`, `taken-late-asking`, `part-taken`, `refused`, `held-duplicate` or `cancelled`.
    #[schema(example = "taken")]
    pub state: &'static str,
    /// When it came.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub received_at: String,
    /// What became of its lines.
    pub lines: Vec<OrderLineView>,
}

impl OrderView {
    /// An order as it is held, after a request that was stale or not.
    #[must_use]
    pub fn new(order: &Order, stale: bool) -> Self {
        let Order { order_ref, order_id, held, refused, zone } = order;
        let Version {
            version,
            state,
            customer,
            service_date,
            drop,
            lines_rule: _,
            standing,
            counter_par,
            cutoff,
            received_at: _,
            plan_revision,
            lines,
        } = refused.as_ref().unwrap_or(held);
        Self {
            order_ref: order_ref.clone(),
            order_id: order_id.clone(),
            version: *version,
            version_held: held.version,
            state: state.word(),
            standing: standing.map(OverStanding::word),
            counter_par: counter_par.map(CounterPar::word),
            customer: customer.clone(),
            service_date: service_date.map(|date| date.to_string()),
            drop: drop.map(|drop| drop.strftime("%H:%M").to_string()),
            stale,
            lines: lines.iter().map(|line| OrderLineView::new(zone, line)).collect(),
            cutoff: cutoff.map(|cutoff| instant(zone, cutoff)),
            plan_revision: *plan_revision,
        }
    }
}

impl OrderLineView {
    fn new(zone: &TimeZone, line: &Line) -> Self {
        let Line {
            line_ref,
            product,
            quantity_asked,
            quantity_taken,
            state,
            reason,
            surplus,
            cutoff,
            earliest,
            sentence: said,
        } = line;
        // What is kept was a JSON number when it came.
        let number = RawValue::from_string(quantity_asked.clone());
        Self {
            line_ref: line_ref.clone(),
            product: product.clone(),
            quantity_asked: number.unwrap_or_else(|_| RawValue::NULL.to_owned()),
            quantity_taken: *quantity_taken,
            state: state.word(),
            reason: reason.map(LineReason::word),
            sentence: said.clone().unwrap_or_else(|| sentence(line)),
            surplus: *surplus,
            cutoff: cutoff.map(|cutoff| instant(zone, cutoff)),
            earliest: earliest.map(|earliest| instant(zone, earliest)),
        }
    }
}

/// What is said of a line of which nothing more was found out.
fn sentence(line: &Line) -> Sentence {
    let Line { product, quantity_asked, quantity_taken, state, reason, .. } = line;
    let of_asked = |message| Sentence::of(message).with("asked", Sentence::digits(quantity_asked));
    match (state, reason) {
        // One message: every answer to an order that is taken says it of every line.
        (LineState::Taken, _) => {
            Sentence::of("order-said-taken-whole").with("pieces", *quantity_taken)
        }
        (LineState::PartTaken, _) => {
            of_asked("order-said-part-taken").with("taken", *quantity_taken)
        }
        (LineState::Cancelled, _) => {
            Sentence::of("order-said").with("what", Sentence::of("order-said-cancelled"))
        }
        (LineState::Held, _) => Sentence::of("order-said-held"),
        (LineState::Refused, Some(LineReason::UnknownProduct)) => {
            Sentence::of("order-said-unknown-product").with("product", product)
        }
        (LineState::Refused, Some(LineReason::NegativeQuantity)) => of_asked("order-said-negative"),
        (LineState::Refused, Some(LineReason::FractionalQuantity)) => {
            of_asked("order-said-fractional")
        }
        (LineState::Refused, Some(LineReason::TooLarge)) => {
            of_asked("order-said-too-large").with("most", PIECES_MAX.to_string())
        }
        (LineState::Refused, _) => Sentence::of("order-said-all-or-nothing"),
    }
}

impl HistoryView {
    /// An order with its versions.
    #[must_use]
    pub fn new(order: &Order, history: &[Version], caps: &[Cap]) -> Self {
        let decided = |cap: &Cap| LineDecidedView {
            product: cap.product.to_string(),
            pieces: cap.pieces,
            who: cap.who.clone(),
            note: cap.note.clone(),
        };
        let zone = &order.zone;
        let view = |version: &Version| VersionView {
            version: version.version,
            state: version.state.word(),
            received_at: instant(zone, version.received_at),
            lines: version.lines.iter().map(|line| OrderLineView::new(zone, line)).collect(),
        };
        Self {
            order: OrderView::new(order, false),
            history: history.iter().map(view).collect(),
            decided: caps.iter().map(decided).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::decode;

    fn faults(text: &str) -> Vec<(String, &'static str)> {
        let body: OrderBody = decode(text.as_bytes()).expect("a body");
        let faults = body.read().expect_err("faults");
        faults.into_iter().map(|fault| (fault.pointer, fault.kind)).collect()
    }

    #[test]
    fn all_faults_of_an_order_are_told_at_once_and_no_date_is_guessed() {
        let found = faults(
            r#"{"order_ref": "a", "version": 0, "customer": "Bad Code", "lines": [
                {"line_ref": "1", "product": "bun", "quantity": 1},
                {"line_ref": "1", "product": "bun", "quantity": "6"}]}"#,
        );
        let place = |pointer: &str, kind| (pointer.to_owned(), kind);
        assert_eq!(
            found,
            [
                place("/version", "out-of-range"),
                place("/customer", "malformed"),
                place("/service_date", "field-mismatch"),
                place("/drop", "field-mismatch"),
                place("/lines/1/line_ref", "duplicate-code"),
                place("/lines/1/quantity", "invalid-body"),
            ]
        );
    }

    #[test]
    fn a_quantity_that_no_line_takes_is_no_fault_of_the_body() {
        let body: OrderBody = decode(
            br#"{"order_ref": "a", "version": 1, "customer": "c", "service_date": "2026-06-13",
                "drop": "07:00", "lines": [{"line_ref": "1", "product": "b", "quantity": 2.50},
                {"line_ref": "2", "product": "b", "quantity": -3},
                {"line_ref": "3", "product": "b", "quantity": 1e30}]}"#,
        )
        .expect("a body");
        let asked = body.read().expect("an order");
        let texts: Vec<_> = asked.lines.iter().map(|line| line.quantity.text.as_str()).collect();
        assert_eq!(texts, ["2.50", "-3", "1e30"]);
    }
}
