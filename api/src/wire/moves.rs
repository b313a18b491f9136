//! Moves from place to place, as they come in and as they are answered.

use super::{amount::QuantityView, lot::LotView};
use crate::{
    document::{Fault, Reader, amount::QuantityBody},
    service::stock::{Move, Moved},
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Some of a lot went to another place.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MoveBody {
    /// Id of the lot.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub lot: String,
    /// Where it went.
    #[schema(example = "weigh-room")]
    pub to: String,
    /// Where it lay; where most of the lot lies if absent.
    #[schema(example = "dry-store")]
    pub from: Option<String>,
    /// How much; all that lay there if absent.
    pub quantity: Option<QuantityBody>,
    /// When; now if absent, and never in the future.
    #[schema(example = "2026-06-10T05:00:00+02:00")]
    pub moved_at: Option<String>,
    /// Who carried it.
    #[schema(example = "Imre")]
    pub who: Option<String>,
    /// Why.
    #[schema(example = "for the morning")]
    pub reason: Option<String>,
}

impl MoveBody {
    /// The move.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Move, Vec<Fault>> {
        let Self { lot, to, from, quantity, moved_at, who, reason } = self;
        let mut reader = Reader::default();
        let moved = Move {
            lot: reader.words("lot", lot),
            to: reader.code("to", to),
            from: reader.code_option("from", from.as_deref()),
            quantity: reader.quantity_option("quantity", quantity.as_ref()),
            moved_at: reader.instant_option("moved_at", moved_at.as_deref()),
            who: reader.words_option("who", who.as_deref()),
            reason: reader.words_option("reason", reason.as_deref()),
        };
        reader.done(moved)
    }
}

/// What a move came to.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MoveView {
    /// The document that both entries carry.
    #[schema(example = "move:01975a30-1c00-7000-8000-000000000002")]
    pub document: String,
    /// Ids of the entries: out of the one place, into the other.
    #[schema(example = json!(["01975a30-1c00-7000-8000-000000000003", "01975a30-1c00-7000-8000-000000000004"]))]
    pub movements: Vec<String>,
    /// How much went.
    pub moved: QuantityView,
    /// The lot after it.
    pub lot: LotView,
}

impl MoveView {
    /// What a move came to.
    #[must_use]
    pub fn new(moved: &Moved) -> Self {
        let Moved { document, movements, amount_micro, lot } = moved;
        Self {
            document: document.clone(),
            movements: movements.to_vec(),
            moved: QuantityView::whole(*amount_micro, lot.unit),
            lot: LotView::new(lot),
        }
    }
}
