//! Ledger entries as they are answered.

use super::amount::{QuantityView, instant};
use crate::service::stock::MovementHeld;
use serde::Serialize;
use utoipa::ToSchema;

/// One entry of the stock ledger; a balance is the sum of its entries.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MovementView {
    /// UUID of version 7.
    #[schema(example = "01975a30-1c00-7000-8000-000000000001")]
    pub id: String,
    /// Id of the lot.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub lot: String,
    /// What happened: `receive`, `count`, `hold` or `release`.
    #[schema(example = "receive")]
    pub kind: String,
    /// What it adds to the lot; negative if it takes away.
    pub amount: QuantityView,
    /// When it happened.
    #[schema(example = "2026-06-05T00:00:00+02:00")]
    pub happened_at: String,
    /// When it was written down.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub recorded_at: String,
    /// Why, if somebody said so.
    #[schema(example = json!(null))]
    pub reason: Option<String>,
}

impl MovementView {
    /// An entry of the ledger.
    #[must_use]
    pub fn new(movement: &MovementHeld) -> Self {
        let MovementHeld {
            id,
            lot,
            kind,
            amount_micro,
            unit,
            happened_at,
            recorded_at,
            reason,
            zone,
        } = movement;
        Self {
            id: id.clone(),
            lot: lot.clone(),
            kind: kind.clone(),
            amount: QuantityView::whole(*amount_micro, *unit),
            happened_at: instant(zone, *happened_at),
            recorded_at: instant(zone, *recorded_at),
            reason: reason.clone(),
        }
    }
}
