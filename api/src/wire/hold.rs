//! Holds as they are answered: the lot, and what it reaches.

use super::{
    amount::QuantityView,
    lot::LotView,
    trace::{PlannedView, RecipientView, ShortByView, StepView, notes},
};
use crate::{
    messages::Sentence,
    service::{
        stock::LotHeld,
        trace::{Reached, ShortBy},
    },
};
use domain::bakery::Bakery;
use serde::Serialize;
use utoipa::ToSchema;

/// A lot that must not be used, and what it reaches.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct HoldView {
    /// The lot.
    #[serde(flatten)]
    pub lot: LotView,
    /// What was planned, made and sent with it.
    pub reach: HoldReachView,
}

/// What was planned, made and sent with a lot.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct HoldReachView {
    /// Drafts and released loads that would take it, and what runs short without it.
    pub planned: PlannedView,
    /// Loads, makings and moves that it went into, by generation, then time.
    pub made: Vec<StepView>,
    /// Who got some of it, or may have.
    pub sent: Vec<RecipientView>,
    /// What a person should know.
    pub notes: Vec<String>,
}

impl HoldView {
    /// A held lot.
    #[must_use]
    pub fn new(bakery: &Bakery, lot: &LotHeld, reached: &Reached) -> Self {
        let Reached { planned, forwards, notes: said } = reached;
        let mut view = HoldReachView {
            planned: PlannedView::new(bakery, lot.unit, planned),
            made: Vec::new(),
            sent: Vec::new(),
            notes: said.clone(),
        };
        if let Some(traced) = forwards {
            let step = |step| StepView::new(bakery, traced, step);
            view.made = traced.steps.iter().map(step).collect();
            view.sent =
                traced.recipients.iter().map(|one| RecipientView::new(bakery, one)).collect();
            view.notes.extend(notes(traced).iter().map(Sentence::wired));
        }
        Self { lot: LotView::new(lot), reach: view }
    }
}

/// A lot that no plan may count on.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct HeldLotView {
    /// The lot.
    #[serde(flatten)]
    pub lot: LotView,
    /// What its item is short of without it; null if of nothing.
    pub short: Option<ShortByView>,
}

/// All lots that no plan may count on.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct HeldLotsView {
    /// Lots of which something is left, oldest first.
    pub rows: Vec<HeldLotView>,
    /// What could not be said.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
}

impl HeldLotsView {
    /// Held lots, each with what its item is short of.
    #[must_use]
    pub fn new(bakery: &Bakery, held: &[(LotHeld, Option<ShortBy>)], notes: Vec<Sentence>) -> Self {
        let zone = &bakery.site().time_zone;
        let row = |(lot, short): &(LotHeld, Option<ShortBy>)| HeldLotView {
            lot: LotView::new(lot),
            short: short.as_ref().map(|short| ShortByView {
                quantity: QuantityView::whole(short.micro, lot.unit),
                runs_out_at: short.at.map(|at| super::amount::instant(zone, at)),
            }),
        };
        Self { rows: held.iter().map(row).collect(), notes }
    }
}
