//! Bins and what is drawn from them.

use super::{
    amount::{QuantityView, instant},
    lot::LotView,
};
use crate::{
    document::{Fault, Reader, amount::QuantityBody},
    service::stock::{BinHeld, Draw},
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A bin with every lot that what is drawn from it may come from.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BinView {
    /// The bin.
    #[schema(example = "flour-silo")]
    pub place: String,
    /// Its lots, first filled first; none is dropped before the bin is emptied.
    pub lots: Vec<BinLotView>,
}

/// A lot in a bin.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BinLotView {
    /// When it was filled in.
    #[schema(example = "2026-06-09T11:00:00+02:00")]
    pub filled_at: String,
    /// What of it is in the bin by the book.
    pub there: QuantityView,
    /// The lot.
    pub lot: LotView,
}

impl BinView {
    /// A bin as it is held.
    #[must_use]
    pub fn new(bin: &BinHeld) -> Self {
        let BinHeld { place, lots } = bin;
        let lots = lots.iter().map(|(lot, there, filled_at)| BinLotView {
            filled_at: instant(&lot.zone, *filled_at),
            there: QuantityView::whole(*there, lot.unit),
            lot: LotView::new(lot),
        });
        Self { place: place.clone(), lots: lots.collect() }
    }
}

/// Something was drawn from a bin.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DrawBody {
    /// How much.
    pub quantity: QuantityBody,
    /// When; now if absent, and never in the future.
    #[schema(example = "2026-06-10T05:10:00+02:00")]
    pub drawn_at: Option<String>,
    /// The load that it was for.
    #[schema(example = json!(null))]
    pub load: Option<String>,
    /// Who drew it.
    #[schema(example = "Imre")]
    pub who: Option<String>,
}

impl DrawBody {
    /// The draw.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Draw, Vec<Fault>> {
        let Self { quantity, drawn_at, load, who } = self;
        let mut reader = Reader::default();
        let draw = Draw {
            quantity: reader.quantity("quantity", quantity),
            drawn_at: reader.instant_option("drawn_at", drawn_at.as_deref()),
            load: reader.words_option("load", load.as_deref()),
            who: reader.words_option("who", who.as_deref()),
        };
        reader.done(draw)
    }
}

/// What a draw came to.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DrawView {
    /// Ids of the entries, one for each lot of the bin.
    #[schema(example = json!(["01975a30-1c00-7000-8000-000000000005"]))]
    pub movements: Vec<String>,
    /// The bin after it.
    pub bin: BinView,
}
