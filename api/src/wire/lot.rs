//! Lots and balances as they are answered.

use super::amount::{QuantityView, instant};
use crate::{
    document::{Fault, Reader},
    service::stock::{LotHeld, StockRow},
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A lot with what is left of it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LotView {
    /// UUID of version 7.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub id: String,
    /// The name on the pack.
    #[schema(example = "M-0611")]
    pub lot: String,
    /// Code of the item or product.
    #[schema(example = "whole-milk")]
    pub item: String,
    /// What is left by the book; negative if more was used than came.
    pub quantity: QuantityView,
    /// `released`, `hold`, `expected` or `open`.
    #[schema(example = "released")]
    pub state: &'static str,
    /// Why it is on hold; null if it is not.
    #[schema(example = json!(null))]
    pub hold_reason: Option<String>,
    /// `any`, or `ingredient` for pieces only used in other products.
    #[serde(rename = "use")]
    #[schema(example = "any")]
    pub usage: &'static str,
    /// Local date on which it came.
    #[schema(example = "2026-06-05")]
    pub received: String,
    /// Never used after this local date.
    #[schema(example = "2026-06-11")]
    pub use_by: Option<String>,
    /// At its best until this local date.
    #[schema(example = json!(null))]
    pub best_before: Option<String>,
    /// Last instant of use, where hours count.
    #[schema(example = json!(null))]
    pub usable_until: Option<String>,
    /// Local bake date of finished pieces.
    #[schema(example = json!(null))]
    pub baked: Option<String>,
    /// When it is put away, if it was expected.
    #[schema(example = json!(null))]
    pub arrives: Option<String>,
    /// When it was mixed or built, if it was made here: its age counts from here.
    #[schema(example = json!(null))]
    pub made_at: Option<String>,
    /// Where it lies.
    #[schema(example = "chiller")]
    pub place: Option<String>,
    /// Who sent it.
    #[schema(example = "dairy")]
    pub supplier: Option<String>,
}

impl LotView {
    /// A lot as it is held.
    #[must_use]
    pub fn new(lot: &LotHeld) -> Self {
        let (state, usage) = (lot.state_word(), lot.usage_word());
        let LotHeld {
            id,
            name,
            item,
            balance_micro,
            unit,
            received,
            use_by,
            best_before,
            usable_until,
            baked,
            arrives,
            made_at,
            place,
            supplier,
            state: _,
            usage: _,
            hold_reason,
            zone,
        } = lot;
        Self {
            id: id.clone(),
            lot: name.clone(),
            item: item.clone(),
            quantity: QuantityView::whole(*balance_micro, *unit),
            state,
            hold_reason: hold_reason.clone(),
            usage,
            received: received.to_string(),
            use_by: use_by.map(|date| date.to_string()),
            best_before: best_before.map(|date| date.to_string()),
            usable_until: usable_until.map(|at| instant(zone, at)),
            baked: baked.map(|date| date.to_string()),
            arrives: arrives.map(|at| instant(zone, at)),
            made_at: made_at.map(|at| instant(zone, at)),
            place: place.clone(),
            supplier: supplier.clone(),
        }
    }
}

/// Why a lot is held or released.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VerdictBody {
    /// In a few words, 1 to 200 characters; kept in the ledger.
    #[schema(example = "seal broken")]
    pub reason: String,
}

impl VerdictBody {
    /// The reason.
    ///
    /// # Errors
    /// A fault if there is none or it is too long.
    pub fn read(&self) -> Result<String, Vec<Fault>> {
        let Self { reason } = self;
        let mut reader = Reader::default();
        let reason = reader.words("reason", reason);
        let faults = reader.into_faults();
        if faults.is_empty() { Ok(reason) } else { Err(faults) }
    }
}

/// The stock of one item or product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StockView {
    /// Code of the item or product.
    #[schema(example = "whole-milk")]
    pub item: String,
    /// In the house and released, by the book; negative if more was used than came.
    pub on_hand: QuantityView,
    /// In the house and held back: never counted as on hand.
    pub on_hold: QuantityView,
    /// On its way: never counted as on hand.
    pub expected: QuantityView,
    /// Lots that are not used up.
    #[schema(example = 2)]
    pub lots: i64,
}

impl StockView {
    /// A row of the stock list.
    #[must_use]
    pub fn new(row: &StockRow) -> Self {
        let StockRow { item, unit, on_hand_micro, held_micro, expected_micro, lots } = row;
        Self {
            item: item.clone(),
            on_hand: QuantityView::whole(*on_hand_micro, *unit),
            on_hold: QuantityView::whole(*held_micro, *unit),
            expected: QuantityView::whole(*expected_micro, *unit),
            lots: *lots,
        }
    }
}
