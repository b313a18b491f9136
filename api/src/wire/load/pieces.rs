//! What a step says of the pieces of a load.

use super::{UsedLotBody, positive, reason, step, used_lot};
use crate::{
    document::{Fault, Reader, amount::QuantityBody},
    service::{
        loads::{Outcome, Step},
        product_lots::{Counted, OrderGoods, Pieces, Rejected, WrittenUse},
        stock::WasteRoute,
    },
    wire::waste::WasteRouteBody,
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A load that was baked or packed.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BakedLoadBody {
    /// Who did it, 1 to 200 characters.
    #[schema(example = "Emil")]
    pub who: String,
    /// When it happened; now if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-06-10T09:25:00+02:00")]
    pub happened_at: Option<String>,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Products of which something else is written than the load was to give; of all others
    /// a lot is made as planned, to be counted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub products: Vec<PiecesBody>,
}

/// A load that left the house.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SentBody {
    /// Who sent it, 1 to 200 characters.
    #[schema(example = "Gus")]
    pub who: String,
    /// When it happened; now if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-06-10T09:25:00+02:00")]
    pub happened_at: Option<String>,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// What each order got; what orders of the date wait for, drop after drop, if absent.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub orders: Vec<GoodsBody>,
}

/// What one order got of one product.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GoodsBody {
    /// The sender's name for the order.
    #[schema(example = "till-2-000481")]
    pub order_ref: String,
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// Whole pieces.
    #[schema(example = 6)]
    pub pieces: i64,
    /// Lot code or id; first expired first if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "260612-1")]
    pub lot: Option<String>,
}

/// Finished pieces of a load, counted.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CountBackBody {
    /// Who counted, 1 to 200 characters.
    #[schema(example = "Emil")]
    pub who: String,
    /// When it happened; now if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-06-10T09:25:00+02:00")]
    pub happened_at: Option<String>,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Product by product.
    pub products: Vec<PiecesBody>,
}

/// Pieces of one product: how many were begun, what was counted, what was used.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PiecesBody {
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// Whole pieces that were begun; as planned if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 37)]
    pub started: Option<i64>,
    /// Whole pieces fit to send; absent while nobody has counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 36)]
    pub good: Option<i64>,
    /// Pieces that are not, with the reason.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rejected: Vec<RejectedBody>,
    /// Good pieces beyond those that were to come.
    #[serde(default)]
    #[schema(example = 0)]
    pub extra: i64,
    /// What was used otherwise than the make-up says; all else first expired first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub used: Vec<UsedBody>,
}

/// Rejected pieces of one reason.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RejectedBody {
    /// How many.
    #[schema(example = 1)]
    pub pieces: i64,
    /// Why: one of the house's reasons for waste.
    #[schema(example = "burnt")]
    pub reason: String,
    /// Where they went; `bin` if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub route: Option<WasteRouteBody>,
}

/// What the hand wrote of a filling, wash, topping or day-old product.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct UsedBody {
    /// The item or product that was used.
    #[schema(example = "raisins")]
    pub item: String,
    /// What it was used instead of, if not for itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instead_of: Option<String>,
    /// How much; what the make-up asks for if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub amount: Option<QuantityBody>,
    /// Its lots; first expired first if absent.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lots: Vec<UsedLotBody>,
}

impl BakedLoadBody {
    /// The step and what it says of the pieces.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<(Step, Outcome), Vec<Fault>> {
        let mut reader = Reader::default();
        let step = step(&mut reader, self, (&self.who, &self.happened_at, &self.note));
        let pieces = reader.each("products", &self.products, |reader, one| one.read(reader));
        reader.done((step, Outcome { pieces, goods: Vec::new() }))
    }
}

impl SentBody {
    /// The step and what each order got.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<(Step, Outcome), Vec<Fault>> {
        let mut reader = Reader::default();
        let step = step(&mut reader, self, (&self.who, &self.happened_at, &self.note));
        let goods = reader.each("orders", &self.orders, |reader, one| one.read(reader));
        reader.done((step, Outcome { pieces: Vec::new(), goods }))
    }
}

impl GoodsBody {
    /// What the order got.
    pub(in crate::wire) fn read(&self, reader: &mut Reader) -> OrderGoods {
        let Self { order_ref, product, pieces, lot } = self;
        count(reader, "pieces", *pieces);
        OrderGoods {
            order_ref: reader.words("order_ref", order_ref),
            product: reader.code("product", product),
            pieces: *pieces,
            lot: reader.words_option("lot", lot.as_deref()),
        }
    }
}

impl CountBackBody {
    /// The step and what was counted.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<(Step, Vec<Pieces>), Vec<Fault>> {
        let mut reader = Reader::default();
        let step = step(&mut reader, self, (&self.who, &self.happened_at, &self.note));
        let pieces = reader.each("products", &self.products, |reader, one| {
            if one.good.is_none() {
                let detail = "say how many are fit to send, 0 if none is";
                reader.fault("good", "field-mismatch", detail);
            }
            one.read(reader)
        });
        reader.done((step, pieces))
    }
}

impl PiecesBody {
    /// The pieces.
    pub(in crate::wire) fn read(&self, reader: &mut Reader) -> Pieces {
        let Self { product, started, good, rejected, extra, used } = self;
        if good.is_none() && (!rejected.is_empty() || *extra != 0) {
            let detail = "rejected and extra pieces are counted together with good ones";
            reader.fault("good", "field-mismatch", detail);
        }
        for (field, found) in [("started", started), ("good", good), ("extra", &Some(*extra))] {
            if let Some(found) = found {
                count(reader, field, *found);
            }
        }
        let rejected = reader.each("rejected", rejected, |reader, one| {
            let RejectedBody { pieces, reason: why, route } = one;
            count(reader, "pieces", *pieces);
            Rejected {
                pieces: *pieces,
                reason: reason(reader, why),
                route: route.map_or(WasteRoute::Bin, WasteRouteBody::read),
            }
        });
        Pieces {
            product: reader.code("product", product),
            started: *started,
            counted: good.map(|good| Counted { good, extra: *extra, rejected }),
            used: reader.each("used", used, |reader, one| one.read(reader)),
        }
    }
}

impl UsedBody {
    fn read(&self, reader: &mut Reader) -> WrittenUse {
        let Self { item, instead_of, amount, lots } = self;
        WrittenUse {
            item: reader.code("item", item),
            instead_of: reader.code_option("instead_of", instead_of.as_deref()),
            amount: amount.as_ref().map(|amount| positive(reader, "amount", amount)),
            lots: reader.each("lots", lots, used_lot),
        }
    }
}

fn count(reader: &mut Reader, field: &str, count: i64) {
    if !(0..=domain::limits::PIECES_MAX).contains(&count) {
        let detail = format!("{count} pieces cannot be counted: write 0 or more");
        reader.fault(field, "out-of-range", detail);
    }
}
