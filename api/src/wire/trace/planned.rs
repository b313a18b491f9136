//! What is still to come of a lot, as it is answered.

use crate::{
    messages::Sentence,
    service::trace::{Planned, PlannedUse, ShortBy},
    wire::{
        amount::{QuantityView, instant},
        named,
    },
};
use domain::{bakery::Bakery, quantity::Unit};
use serde::Serialize;
use utoipa::ToSchema;

/// What is still to come of a lot.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PlannedView {
    /// What the plan would use it for if it might be used, by time.
    pub uses: Vec<PlannedUseView>,
    /// What its item is short of as things are; null if of nothing.
    pub short: Option<ShortByView>,
    /// The same if the lot might be used.
    pub short_with_it: Option<ShortByView>,
    /// What could not be said.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
}

/// One use of a lot that is still to come.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PlannedUseView {
    /// Code of the item or product that is used: the lot's own, or something that it went into.
    #[schema(value_type = String, example = "strong-white")]
    pub item: Sentence,
    /// Name of its lot.
    #[schema(example = "SW-1")]
    pub lot: String,
    /// Code of the formula or product.
    #[schema(value_type = String, example = "bun")]
    pub code: Sentence,
    /// `formula` or `product`.
    #[schema(example = "formula")]
    pub kind: &'static str,
    /// For which local date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Number of the load; null if the plan does not say which.
    #[schema(example = 1)]
    pub load: Option<i64>,
    /// `draft`, or `released` for a load that names the lot already.
    #[schema(example = "draft")]
    pub state: &'static str,
    /// When it is taken; null if nobody knows.
    #[schema(example = "2026-06-10T12:54:00+02:00")]
    pub at: Option<String>,
    /// How much.
    pub quantity: QuantityView,
}

/// What runs short of an item.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ShortByView {
    /// Over all needs of the plan.
    pub quantity: QuantityView,
    /// When it runs out.
    #[schema(example = "2026-06-12T11:00:00+02:00")]
    pub runs_out_at: Option<String>,
}

impl PlannedView {
    /// What is still to come of a lot that is kept in a unit.
    #[must_use]
    pub fn new(bakery: &Bakery, unit: Unit, planned: &Planned) -> Self {
        let zone = &bakery.site().time_zone;
        let Planned { uses, short, short_with_it, notes } = planned;
        let view = |one: &PlannedUse| {
            let PlannedUse {
                item,
                lot,
                unit,
                code,
                is_product,
                service_date,
                load,
                released,
                at,
                micro,
            } = one;
            PlannedUseView {
                item: named::made(bakery, item),
                lot: lot.clone(),
                code: named::made(bakery, code),
                kind: if *is_product { "product" } else { "formula" },
                service_date: service_date.to_string(),
                load: *load,
                state: if *released { "released" } else { "draft" },
                at: at.map(|at| instant(zone, at)),
                quantity: QuantityView::whole(*micro, *unit),
            }
        };
        let short_by = |short: &ShortBy| ShortByView {
            quantity: QuantityView::whole(short.micro, unit),
            runs_out_at: short.at.map(|at| instant(zone, at)),
        };
        Self {
            uses: uses.iter().map(view).collect(),
            short: short.as_ref().map(short_by),
            short_with_it: short_with_it.as_ref().map(short_by),
            notes: notes.clone(),
        }
    }
}
