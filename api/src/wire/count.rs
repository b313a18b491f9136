//! Counts as they come in and as they are answered.

mod due;
mod sheet;

pub use due::{CountDueView, CountsDueView};
pub use sheet::{CountSheetBody, CountSheetView, CountedSheetView, units_by_hand};

use super::{
    amount::{QuantityView, instant},
    lot::LotView,
};
use crate::{
    document::{Fault, Reader, amount::QuantityBody},
    service::stock::{Count, CountReason, Counted},
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What was found on the shelf.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CountBody {
    /// The moment counted, not the moment of writing it down.
    #[schema(example = "2026-06-10T09:10:00+02:00")]
    pub counted_at: String,
    /// Id of the lot.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub lot: String,
    /// How much there was; 0 if it is used up.
    pub quantity: QuantityBody,
    /// Where it lay, if only what lies at one place was counted; all places if absent.
    #[schema(example = json!(null))]
    pub place: Option<String>,
    /// Who counted.
    #[schema(example = "Imre")]
    pub who: Option<String>,
    /// Why it differs from the book, if that is known.
    pub reason: Option<CountReasonBody>,
}

/// Why a shelf and the book differ.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CountReasonBody {
    /// Something was used and not written down.
    UnrecordedUse,
    /// It was written down for another lot.
    WrongLot,
    /// It was written down in another unit.
    UnitError,
    /// Taken by somebody, or nobody knows.
    TheftOrUnknown,
    /// It dried out.
    Evaporation,
}

impl CountReasonBody {
    /// The reason.
    pub(super) const fn read(self) -> CountReason {
        match self {
            Self::UnrecordedUse => CountReason::UnrecordedUse,
            Self::WrongLot => CountReason::WrongLot,
            Self::UnitError => CountReason::UnitError,
            Self::TheftOrUnknown => CountReason::TheftOrUnknown,
            Self::Evaporation => CountReason::Evaporation,
        }
    }
}

impl CountBody {
    /// The count as the ledger takes it.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Count, Vec<Fault>> {
        let Self { counted_at, lot, quantity, place, who, reason } = self;
        let mut reader = Reader::default();
        let count = Count {
            counted_at: reader.instant("counted_at", counted_at),
            lot: reader.words("lot", lot),
            quantity: reader.quantity("quantity", quantity),
            who: reader.words_option("who", who.as_deref()),
            reason: reason.map(CountReasonBody::read),
            document: None,
            place: reader.code_option("place", place.as_deref()).map(|code| code.to_string()),
        };
        if count.quantity.micro() < 0 {
            let detail = format!("{} cannot lie on a shelf: write 0 or more", count.quantity);
            reader.fault("quantity/amount", "out-of-range", detail);
        }
        reader.done(count)
    }
}

/// What a count came to.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CountView {
    /// Id of the ledger entry that carries the variance.
    #[schema(example = "01975a30-1c00-7000-8000-000000000001")]
    pub movement: String,
    /// The moment counted.
    #[schema(example = "2026-06-10T09:10:00+02:00")]
    pub counted_at: String,
    /// What was counted.
    pub counted: QuantityView,
    /// What the book said at that moment.
    pub book: QuantityView,
    /// Counted less book.
    pub variance: QuantityView,
    /// The lot now: the count, and everything that happened after it.
    pub lot: LotView,
    /// The plan revision that the count made.
    #[schema(example = 17)]
    pub plan_revision: i64,
}

impl CountView {
    /// What a count came to.
    #[must_use]
    pub fn new(counted: &Counted) -> Self {
        let Counted {
            movement,
            counted_at,
            counted_micro,
            book_micro,
            variance_micro,
            lot,
            plan_revision,
        } = counted;
        let amount = |micro: &i64| QuantityView::whole(*micro, lot.unit);
        Self {
            movement: movement.clone(),
            counted_at: instant(&lot.zone, *counted_at),
            counted: amount(counted_micro),
            book: amount(book_micro),
            variance: amount(variance_micro),
            lot: LotView::new(lot),
            plan_revision: *plan_revision,
        }
    }
}
