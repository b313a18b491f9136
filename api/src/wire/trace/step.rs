//! Loads, makings and moves of a trace as they are answered.

use super::{ReachView, link};
use crate::{
    messages::Sentence,
    service::trace::{StepOf, Traced, TracedPart, TracedStep},
    wire::{
        amount::{QuantityView, instant},
        named,
    },
};
use domain::bakery::Bakery;
use serde::Serialize;
use utoipa::ToSchema;

/// A load, a making or a move between lots.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StepView {
    /// `load`, `past-load`, `pieces`, `split` for a part that became a lot of its own, or
    /// `use` for what nobody wrote down further.
    #[schema(example = "load")]
    pub kind: &'static str,
    /// Id of the load; else the document, if there is one.
    #[schema(example = "01975a30-1c00-7000-8000-000000000002")]
    pub id: Option<String>,
    /// The same in words.
    #[schema(value_type = String, example = "bun for 2026-06-12, load 1")]
    pub name: Sentence,
    /// Code of the formula, of a load.
    #[schema(example = "bun")]
    pub formula: Option<String>,
    /// For which local date, of a load.
    #[schema(example = "2026-06-12")]
    pub service_date: Option<String>,
    /// The word of its state, of a load.
    #[schema(example = "baked")]
    pub state: Option<String>,
    /// When what it gave was there.
    #[schema(example = "2026-06-10T13:34:00+02:00")]
    pub at: String,
    /// How far it is.
    #[serde(flatten)]
    pub reach: ReachView,
    /// What went in, of the lots of this trace.
    pub took: Vec<TracedPartView>,
    /// What came out, of the lots of this trace.
    pub gave: Vec<TracedPartView>,
}

/// A lot at one end of a step.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TracedPartView {
    /// Id of the lot.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub id: String,
    /// The name on the pack.
    #[schema(example = "SW-1")]
    pub lot: String,
    /// Code of the item or product.
    #[schema(example = "strong-white")]
    pub item: String,
    /// How much of it.
    pub quantity: QuantityView,
    /// `booked` or `possible`.
    #[schema(example = "booked")]
    pub link: &'static str,
}

impl StepView {
    /// A step of a trace.
    #[must_use]
    pub fn new(bakery: &Bakery, traced: &Traced, step: &TracedStep) -> Self {
        let TracedStep { of, at, reach, took, gave } = step;
        let parts = |parts: &[TracedPart]| -> Vec<TracedPartView> {
            parts.iter().map(|one| part(traced, one)).collect()
        };
        let mut view = Self {
            kind: "use",
            id: None,
            name: Sentence::of("trace-step-used"),
            formula: None,
            service_date: None,
            state: None,
            at: instant(&bakery.site().time_zone, *at),
            reach: ReachView::new(reach),
            took: parts(took),
            gave: parts(gave),
        };
        let made = |message| {
            let made = view.gave.first().map(|part| named::made(bakery, &part.item));
            Sentence::of(message).with("made", made.unwrap_or_else(|| "".into()))
        };
        let of_formula =
            |message, code| Sentence::of(message).with("formula", named::made(bakery, code));
        match of {
            StepOf::Load { id, formula, service_date, number, state, pieces: _ } => {
                view.kind = "load";
                view.id = Some(id.clone());
                view.name = of_formula("trace-step-load", formula)
                    .with("date", Sentence::date(service_date))
                    .with("number", number.to_string());
                view.formula = Some(formula.clone());
                view.service_date = Some(service_date.to_string());
                view.state = Some(state.clone());
            }
            StepOf::Past { id, name, formula } => {
                view.kind = "past-load";
                view.id = Some(id.clone());
                view.name = of_formula("trace-step-past", formula).with("name", name);
                view.formula = Some(formula.clone());
            }
            StepOf::Pieces { document } => {
                view.name = made("trace-step-made");
                (view.kind, view.id) = ("pieces", Some(document.clone()));
            }
            StepOf::Split { document } => {
                view.name = made("trace-step-split");
                (view.kind, view.id) = ("split", Some(document.clone()));
            }
            StepOf::Other { document } => view.id.clone_from(document),
        }
        view
    }
}

fn part(traced: &Traced, part: &TracedPart) -> TracedPartView {
    let lot = &traced.lots[part.lot];
    TracedPartView {
        id: lot.id.clone(),
        lot: lot.name.clone(),
        item: lot.item.clone(),
        quantity: QuantityView::whole(part.micro, lot.unit),
        link: link(part.certain),
    }
}
