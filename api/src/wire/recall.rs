//! The recall file as it is answered: JSON, and lines of comma-separated values.

mod csv;

pub use csv::recall_csv;

use super::{
    amount::{QuantityView, instant},
    lot::LotView,
    named,
    trace::{PlannedView, RecipientView, StepView, TracedLotView, notes},
};
use crate::{
    messages::Sentence,
    service::{
        Refusal,
        plan::refused,
        trace::{Recall, Traced},
    },
};
use domain::{bakery::Bakery, mass_balance::MassBalance, quantity::Unit};
use jiff::Timestamp;
use serde::Serialize;
use utoipa::ToSchema;

/// All that is known of a lot, for whoever must call it back.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RecallView {
    /// What the bakery is called.
    #[schema(example = "Alder Yard")]
    pub bakery: String,
    /// When the file was made.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The lot.
    pub lot: LotView,
    /// The lot's item, as a sheet says it.
    #[serde(skip)]
    pub item: Sentence,
    /// Who sent it, as a sheet says it; none if nobody said or it was made here.
    #[serde(skip)]
    pub supplier: Option<Sentence>,
    /// Where its mass went, with that of its parts that are lots of their own.
    pub mass_balance: MassBalanceView,
    /// What it came from.
    pub came_from: ChainView,
    /// What it went into.
    pub went_into: ChainView,
    /// Who got something of it, or may have, by date and drop; what is booked first.
    pub recipients: Vec<RecipientView>,
    /// What is still in the house of it and of all that it went into.
    pub in_house: Vec<InHouseView>,
    /// What the plan would use it for.
    pub planned: PlannedView,
    /// What a person should know.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
}

/// Lots of one way, and what lies between them.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ChainView {
    /// Loads, loads of the past, makings and moves, by generation, then time.
    pub steps: Vec<StepView>,
    /// Lots of items and made things, by generation.
    pub lots: Vec<TracedLotView>,
    /// Lots of finished products, by generation.
    pub products: Vec<TracedLotView>,
}

/// Something that is still in the house.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct InHouseView {
    /// Id of the lot.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub id: String,
    /// The name on the pack.
    #[schema(example = "SW-1")]
    pub lot: String,
    /// Code of the item or product.
    #[schema(value_type = String, example = "strong-white")]
    pub item: Sentence,
    /// Where; null if nobody said.
    #[schema(value_type = Option<String>, example = "dry-store")]
    pub place: Option<Sentence>,
    /// How much by the book; below nothing it must be counted.
    pub quantity: QuantityView,
    /// The word of the lot's state.
    #[schema(example = "hold")]
    pub state: String,
}

/// Where the mass of a lot went.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MassBalanceView {
    /// Came in or was made.
    pub came: QuantityView,
    /// Was weighed or used.
    pub used: QuantityView,
    /// Was thrown away.
    pub wasted: QuantityView,
    /// Went back to the supplier.
    pub returned: QuantityView,
    /// Left the house.
    pub sent: QuantityView,
    /// Is left by the book.
    pub left: QuantityView,
    /// What counts found: more than the book if above nothing.
    pub variance: QuantityView,
    /// How much of what came is known to have gone somewhere or to be left, in percent to two
    /// places; null if nothing came.
    #[schema(example = "99.2")]
    pub accounted_percent: Option<String>,
    /// What the book itself cannot explain; 0 in a whole ledger.
    pub gap: QuantityView,
}

impl MassBalanceView {
    fn new(mass: &MassBalance, unit: Unit) -> Result<Self, Refusal> {
        let quantity = |micro: i64| QuantityView::whole(micro, unit);
        let MassBalance {
            came_micro,
            moved_micro,
            used_micro,
            wasted_micro,
            returned_micro,
            sent_micro,
            variance_micro,
            left_micro,
        } = *mass;
        let percent = mass.accounted_percent().map_err(refused)?;
        let gap = i64::try_from(mass.gap_micro()).unwrap_or(i64::MAX);
        Ok(Self {
            came: quantity(came_micro.saturating_add(moved_micro)),
            used: quantity(used_micro),
            wasted: quantity(wasted_micro),
            returned: quantity(returned_micro),
            sent: quantity(sent_micro),
            left: quantity(left_micro),
            variance: quantity(variance_micro),
            accounted_percent: percent.map(|percent| percent.to_decimal(2)),
            gap: quantity(gap),
        })
    }
}

impl RecallView {
    /// A recall file.
    ///
    /// # Errors
    /// [`Refusal`] if its masses are beyond exact arithmetic.
    pub fn new(bakery: &Bakery, recall: &Recall, now: Timestamp) -> Result<Self, Refusal> {
        let Recall { lot, back, forwards, planned, mass } = recall;
        let chain = |traced: &Traced| {
            let lots = traced.lots.iter().skip(1);
            let (products, lots): (Vec<_>, Vec<_>) =
                lots.partition(|lot| bakery.index().product(&lot.item).is_some());
            let view = |lots: Vec<_>| {
                lots.into_iter().map(|lot| TracedLotView::new(bakery, lot)).collect()
            };
            ChainView {
                steps: traced
                    .steps
                    .iter()
                    .map(|step| StepView::new(bakery, traced, step))
                    .collect(),
                lots: view(lots),
                products: view(products),
            }
        };
        let mut said = notes(forwards);
        said.extend(notes(back));
        said.dedup();
        let nobody =
            forwards.recipients.is_empty() && forwards.steps.iter().any(|one| one.gave.is_empty());
        if nobody {
            said.push(Sentence::of("trace-went-nowhere"));
        }
        Ok(Self {
            bakery: bakery.site().name.clone(),
            made_at: instant(&bakery.site().time_zone, now),
            item: named::made(bakery, &lot.item),
            supplier: lot.supplier.as_deref().map(|code| named::supplier(bakery, code)),
            lot: LotView::new(lot),
            mass_balance: MassBalanceView::new(mass, lot.unit)?,
            came_from: chain(back),
            went_into: chain(forwards),
            recipients: forwards
                .recipients
                .iter()
                .map(|one| RecipientView::new(bakery, one))
                .collect(),
            in_house: in_house(bakery, forwards),
            planned: PlannedView::new(bakery, lot.unit, planned),
            notes: said,
        })
    }
}

fn in_house(bakery: &Bakery, traced: &Traced) -> Vec<InHouseView> {
    let places = traced.lots.iter().flat_map(|lot| {
        lot.left.iter().map(move |(place, micro)| InHouseView {
            id: lot.id.clone(),
            lot: lot.name.clone(),
            item: named::made(bakery, &lot.item),
            place: (!place.is_empty()).then(|| named::place(bakery, place)),
            quantity: QuantityView::whole(*micro, lot.unit),
            state: lot.state.clone(),
        })
    });
    places.collect()
}
