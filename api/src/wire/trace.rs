//! Traces as they are answered.

mod planned;
mod recipient;
mod step;

pub use planned::{PlannedUseView, PlannedView, ShortByView};
pub use recipient::RecipientView;
pub use step::{StepView, TracedPartView};

use super::{
    amount::{QuantityView, instant},
    lot::PlaceLeftView,
    named,
};
use crate::{
    messages::Sentence,
    service::trace::{Reach, Traced, TracedLot},
};
use domain::{bakery::Bakery, trace::Direction, trace::Share};
use jiff::Timestamp;
use serde::Serialize;
use utoipa::ToSchema;

/// Longest fraction that is written out; after dozens of steps it fills pages.
const EXACT_CHARS_MAX: usize = 400;

/// A share of a lot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct TracedShareView {
    /// In percent, half up to six places; `below 0.000001` for less than that.
    #[schema(example = "0.700223")]
    pub percent: String,
    /// The same as a fraction of one, exactly; null if it has more than 400 digits.
    #[schema(example = "500/71407")]
    pub exact: Option<String>,
}

impl TracedShareView {
    /// A share in both ways of writing.
    #[must_use]
    pub fn new(share: &Share) -> Self {
        let exact = share.to_big().to_string();
        let exact = Some(exact).filter(|text| text.len() <= EXACT_CHARS_MAX);
        Self { percent: share.percent(), exact }
    }
}

/// How far something is from the lot that is asked for.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ReachView {
    /// Loads and product lots passed, the shortest way.
    #[schema(example = 2)]
    pub generation: u32,
    /// Forwards, how much of it is the lot that is asked for; back, how much of that lot it
    /// is: by mass of all that went in, water included. Null if something on the way has no
    /// weight on record.
    pub share: Option<TracedShareView>,
    /// `booked`, or `possible` where several lots lay together or nobody wrote the lot down.
    #[schema(example = "booked")]
    pub link: &'static str,
}

impl ReachView {
    /// How far something is.
    #[must_use]
    pub fn new(reach: &Reach) -> Self {
        let Reach { generation, share, known, certain } = reach;
        Self {
            generation: *generation,
            share: known.then(|| TracedShareView::new(share)),
            link: link(*certain),
        }
    }
}

/// The word of a link.
#[must_use]
pub(super) const fn link(certain: bool) -> &'static str {
    if certain { "booked" } else { "possible" }
}

/// A lot that a trace met.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TracedLotView {
    /// UUID of version 7.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub id: String,
    /// The name on the pack.
    #[schema(example = "SW-1")]
    pub lot: String,
    /// Code of the item or product.
    #[schema(value_type = String, example = "strong-white")]
    pub item: Sentence,
    /// Who sent it; null if it was made here or nobody said.
    #[schema(value_type = Option<String>, example = "mill")]
    pub supplier: Option<Sentence>,
    /// Local date on which it came or was made.
    #[schema(example = "2026-06-01")]
    pub received: String,
    /// The word of its state.
    #[schema(example = "released")]
    pub state: String,
    /// What is still in the house by the book, by place.
    pub in_house: Vec<PlaceLeftView>,
    /// How far it is.
    #[serde(flatten)]
    pub reach: ReachView,
}

impl TracedLotView {
    /// A lot of a trace.
    #[must_use]
    pub fn new(bakery: &Bakery, lot: &TracedLot) -> Self {
        let TracedLot { id, name, item, unit, supplier, received, state, left, mass: _, reach } =
            lot;
        let there = |(place, micro): &(String, i64)| PlaceLeftView {
            place: Some(place.clone()).filter(|place| !place.is_empty()),
            quantity: QuantityView::whole(*micro, *unit),
        };
        Self {
            id: id.clone(),
            lot: name.clone(),
            item: named::made(bakery, item),
            supplier: supplier.as_deref().map(|code| named::supplier(bakery, code)),
            received: received.to_string(),
            state: state.clone(),
            in_house: left.iter().map(there).collect(),
            reach: ReachView::new(reach),
        }
    }
}

/// All that a lot went into, or came from.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TraceView {
    /// `forwards` or `back`.
    #[schema(example = "forwards")]
    pub direction: &'static str,
    /// When the trace was made.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// Lots by generation; the lot itself first.
    pub lots: Vec<TracedLotView>,
    /// Loads, makings and moves between them, by generation, then time.
    pub steps: Vec<StepView>,
    /// Who got something of it, or may have; only forwards.
    pub recipients: Vec<RecipientView>,
    /// What a person should know.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
}

impl TraceView {
    /// A trace.
    #[must_use]
    pub fn new(bakery: &Bakery, traced: &Traced, now: Timestamp) -> Self {
        let Traced { direction, lots, steps, recipients, ring: _ } = traced;
        Self {
            direction: match direction {
                Direction::Forwards => "forwards",
                Direction::Back => "back",
            },
            made_at: instant(&bakery.site().time_zone, now),
            lots: lots.iter().map(|lot| TracedLotView::new(bakery, lot)).collect(),
            steps: steps.iter().map(|step| StepView::new(bakery, traced, step)).collect(),
            recipients: recipients.iter().map(|one| RecipientView::new(bakery, one)).collect(),
            notes: notes(traced),
        }
    }
}

/// What a person should know of a trace.
#[must_use]
pub(super) fn notes(traced: &Traced) -> Vec<Sentence> {
    let said = [
        (traced.ring, "trace-ring"),
        (traced.lots.iter().any(|lot| !lot.reach.certain), "trace-links-possible"),
        (traced.lots.iter().any(|lot| !lot.reach.known), "trace-share-missing"),
        (traced.recipients.iter().any(|one| !one.reach.certain), "trace-recipients-possible"),
    ];
    said.into_iter().filter(|(is, _)| *is).map(|(_, message)| Sentence::of(message)).collect()
}
