//! Product lots: made without a load of their own, listed, and sent.

use super::{
    allergens::AllergensView,
    amount::{QuantityView, instant},
    load::{GoodsBody, PiecesBody},
};
use crate::{
    document::{Fault, Reader},
    service::product_lots::{LabelCheck, Made, Making, Sending, Sent, SentLine},
};
use domain::{bakery::Bakery, quantity::Unit};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Pieces that no load of their own gives: of day-old goods, of dough that no load is of.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ProductLotBody {
    /// Who made them, 1 to 200 characters.
    #[schema(example = "Emil")]
    pub who: String,
    /// When they were ready; now if absent, and never in the future.
    #[schema(example = "2026-06-10T09:25:00+02:00")]
    pub made_at: Option<String>,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// The pieces; what was used leaves the stock, first expired first if nothing is written.
    pub pieces: PiecesBody,
}

impl ProductLotBody {
    /// The pieces as the ledger takes them.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<Making, Vec<Fault>> {
        let Self { who, made_at, service_date, pieces } = self;
        let mut reader = Reader::default();
        let making = Making {
            who: reader.words("who", who),
            made_at: reader.instant_option("made_at", made_at.as_deref()),
            service_date: reader.date("service_date", service_date),
            pieces: reader.at("pieces", |reader| {
                if pieces.started.or(pieces.good).is_none_or(|begun| begun == 0) {
                    reader.fault("started", "field-mismatch", "say how many were begun");
                }
                pieces.read(reader)
            }),
        };
        reader.done(making)
    }
}

/// A lot of pieces.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProductLotView {
    /// Id of the lot, as under `/v1/lots`.
    #[schema(example = "01975a30-1c00-7000-8000-000000000005")]
    pub id: String,
    /// Its lot code, as it stands on its label.
    #[schema(example = "260612-1")]
    pub lot: String,
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Id of the load that it was divided from; null if none was.
    pub load: Option<String>,
    /// What all entries of its making carry.
    #[schema(example = "making:01975a30-1c00-7000-8000-000000000009")]
    pub document: String,
    /// Whole pieces that were begun.
    #[schema(example = 37)]
    pub started: i64,
    /// What is left; below nothing to be counted.
    pub left: QuantityView,
    /// What a person should know of it.
    pub notes: Vec<String>,
}

/// Lots of pieces of one service date.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProductLotsView {
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Oldest first.
    pub rows: Vec<ProductLotView>,
}

impl From<&Made> for ProductLotView {
    fn from(made: &Made) -> Self {
        let Made {
            lot,
            name,
            product,
            service_date,
            load,
            document,
            started,
            balance_micro,
            notes,
        } = made;
        Self {
            id: lot.clone(),
            lot: name.clone(),
            product: product.clone(),
            service_date: service_date.to_string(),
            load: load.clone(),
            document: document.clone(),
            started: *started,
            left: QuantityView::whole(*balance_micro, Unit::Each),
            notes: notes.clone(),
        }
    }
}

/// Who confirms that labels say what was added.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ConfirmLabelBody {
    /// Who, 1 to 200 characters.
    #[schema(example = "Ines")]
    pub who: String,
    /// In own words.
    #[schema(example = "new labels printed and stuck on")]
    pub note: Option<String>,
}

impl ConfirmLabelBody {
    /// Who confirms, and what they say.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<(String, Option<String>), Vec<Fault>> {
        let mut reader = Reader::default();
        let who = reader.words("who", &self.who);
        let note = reader.words_option("note", self.note.as_deref());
        reader.done((who, note))
    }
}

/// The planned and the actual allergens of a product lot.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LabelCheckView {
    /// Id of the lot.
    pub lot: String,
    /// Which product.
    #[schema(example = "fruit-bun")]
    pub product: String,
    /// What its formula says.
    pub planned: AllergensView,
    /// What the lots that were used for it say, as far as they are in the book.
    pub actual: AllergensView,
    /// What the planned label leaves out.
    pub added: AllergensView,
    /// Lots that were used and are on hold.
    pub on_hold: Vec<String>,
    /// Whether nothing of it may be packed or sent until a person confirms.
    pub stops: bool,
    /// Who confirmed the labels for just these additions; null if nobody did.
    pub confirmed_by: Option<String>,
    /// When: RFC 3339 with the bakery's offset.
    pub confirmed_at: Option<String>,
    /// In own words.
    pub note: Option<String>,
}

impl LabelCheckView {
    /// A check, on the bakery's clock.
    #[must_use]
    pub fn new(bakery: &Bakery, check: &LabelCheck) -> Self {
        let stops = check.stops();
        let LabelCheck { lot, product, planned, actual, difference, on_hold, confirmed } = check;
        let zone = &bakery.site().time_zone;
        Self {
            lot: lot.clone(),
            product: product.clone(),
            planned: AllergensView::new(bakery, planned),
            actual: AllergensView::new(bakery, actual),
            added: AllergensView::new(bakery, &difference.added),
            on_hold: on_hold.clone(),
            stops,
            confirmed_by: confirmed.as_ref().map(|one| one.who.clone()),
            confirmed_at: confirmed.as_ref().map(|one| instant(zone, one.at)),
            note: confirmed.as_ref().and_then(|one| one.note.clone()),
        }
    }
}

/// Goods that left the house.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SendBody {
    /// Who sent them, 1 to 200 characters.
    #[schema(example = "Gus")]
    pub who: String,
    /// When; now if absent, and never in the future.
    #[schema(example = "2026-06-10T09:25:00+02:00")]
    pub sent_at: Option<String>,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Only what this drop waits for; all drops if absent.
    #[schema(example = "07:00")]
    pub drop: Option<String>,
    /// What each order got; all that it waits for if absent.
    #[serde(default)]
    pub orders: Vec<GoodsBody>,
}

impl SendBody {
    /// The goods as the ledger takes them.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<Sending, Vec<Fault>> {
        let Self { who, sent_at, service_date, drop, orders } = self;
        let mut reader = Reader::default();
        let sending = Sending {
            who: reader.words("who", who),
            sent_at: reader.instant_option("sent_at", sent_at.as_deref()),
            service_date: reader.date("service_date", service_date),
            drop: drop.as_deref().map(|text| reader.time("drop", text)),
            goods: reader.each("orders", orders, |reader, one| one.read(reader)),
        };
        reader.done(sending)
    }
}

/// Pieces of one lot that went to one order.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SentLineView {
    /// The sender's name for the order.
    #[schema(example = "till-2-000481")]
    pub order_ref: String,
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// Id of the lot.
    pub lot: String,
    /// Its lot code.
    #[schema(example = "260612-1")]
    pub lot_code: String,
    /// Whole pieces.
    #[schema(example = 6)]
    pub pieces: i64,
    /// Id of the ledger entry.
    pub movement: String,
}

/// What left the house.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SentView {
    /// When: RFC 3339 with the bakery's offset.
    pub sent_at: String,
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// Order by order and lot by lot.
    pub lines: Vec<SentLineView>,
    /// What orders still wait for, and what the book did not have.
    pub notes: Vec<String>,
}

impl SentView {
    /// What left, on the bakery's clock.
    #[must_use]
    pub fn new(bakery: &Bakery, sent: &Sent) -> Self {
        let Sent { sent_at, lines, notes, plan_revision } = sent;
        let line = |line: &SentLine| {
            let SentLine { order_ref, product, lot, name, pieces, movement } = line.clone();
            SentLineView { order_ref, product, lot, lot_code: name, pieces, movement }
        };
        Self {
            sent_at: instant(&bakery.site().time_zone, *sent_at),
            plan_revision: *plan_revision,
            lines: lines.iter().map(line).collect(),
            notes: notes.clone(),
        }
    }
}
