//! Moves as they come in and as they are answered.

use super::lot::LotView;
use crate::{
    document::{Fault, Reader, amount::QuantityBody},
    service::moves::{Move, Moved},
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What was carried from one place to another.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MoveBody {
    /// Id of the lot.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub lot: String,
    /// Code of the place where it lies now.
    #[schema(example = "chiller")]
    pub to: String,
    /// When it was carried; for what leaves a freezer, when it starts to thaw.
    #[schema(example = "2026-06-10T12:00:00+02:00")]
    pub moved_at: String,
    /// How much of it; all of it if not said.
    pub quantity: Option<QuantityBody>,
}

impl MoveBody {
    /// The move as the ledger takes it.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Move, Vec<Fault>> {
        let Self { lot, to, moved_at, quantity } = self;
        let mut reader = Reader::default();
        let asked = Move {
            lot: reader.words("lot", lot),
            to: reader.code("to", to),
            moved_at: reader.instant("moved_at", moved_at),
            quantity: reader.quantity_option("quantity", quantity.as_ref()),
        };
        let faults = reader.into_faults();
        if faults.is_empty() { Ok(asked) } else { Err(faults) }
    }
}

/// What a move came to.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MoveView {
    /// The lot that lies in the new place now.
    pub lot: LotView,
    /// The plan revision that the move made.
    #[schema(example = 17)]
    pub plan_revision: i64,
}

impl MoveView {
    /// What a move came to.
    #[must_use]
    pub fn new(moved: &Moved) -> Self {
        let Moved { lot, plan_revision } = moved;
        Self { lot: LotView::new(lot), plan_revision: *plan_revision }
    }
}
