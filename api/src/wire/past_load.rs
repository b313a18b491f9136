//! Loads of the past as they come in.

use crate::{
    document::{Fault, Reader, amount::QuantityBody},
    service::past_loads::{Gave, LOADS_MAX, PastLoad, PastLoadHeld, PastSent, Took},
};
use domain::limits::LINES_MAX;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Loads that were made before this book was kept.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PastLoadsBody {
    /// Who writes them down.
    #[schema(example = "Imre")]
    pub who: Option<String>,
    /// The loads, in any order, at most 1,000.
    pub loads: Vec<PastLoadBody>,
}

/// A load that was made before this book was kept.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PastLoadBody {
    /// What it was called; never given twice.
    #[schema(example = "levain 30 Apr")]
    pub load: String,
    /// Code of what it made.
    #[schema(example = "levain")]
    pub formula: String,
    /// When what it made was there.
    #[schema(example = "2026-04-30T02:00:00+02:00")]
    pub made_at: String,
    /// A remark.
    pub note: Option<String>,
    /// All that went in, water too: shares are by mass.
    pub took: Vec<TookBody>,
    /// What came out, as lots.
    #[serde(default)]
    pub gave: Vec<GaveBody>,
    /// What of it left the house.
    #[serde(default)]
    pub sent: Vec<PastSentBody>,
}

/// Something that went into a load of the past.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TookBody {
    /// Code of the item or product.
    #[schema(example = "strong-white")]
    pub item: String,
    /// Name or id of its lot; one that is not known is made, with nothing in it. Absent for
    /// what is in no lot, such as water.
    #[schema(example = "SW-0")]
    pub lot: Option<String>,
    /// The load of the past that made it; excludes `lot`.
    #[schema(example = "levain 29 Apr")]
    pub load: Option<String>,
    /// How much.
    pub quantity: QuantityBody,
}

/// A lot that came out of a load of the past.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GaveBody {
    /// Code of the item or product; that of the formula if absent.
    #[schema(example = "levain")]
    pub item: Option<String>,
    /// Name of the lot; that of the load if absent. Name or id of one that is in stock if it is
    /// still there.
    #[schema(example = "LEV-0430")]
    pub lot: Option<String>,
    /// How much.
    pub quantity: QuantityBody,
}

/// Some of a load of the past that left the house.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PastSentBody {
    /// Code of the product or item.
    #[schema(example = "country-large")]
    pub product: String,
    /// Name of the lot; that of the load if absent and it gave one.
    #[schema(example = "CL-0430")]
    pub lot: Option<String>,
    /// How much.
    pub quantity: QuantityBody,
    /// Who got it.
    #[schema(example = "harbour-cafe")]
    pub customer: String,
    /// For which local date.
    #[schema(example = "2026-05-01")]
    pub service_date: Option<String>,
    /// Local time of the drop, `HH:MM`.
    #[schema(example = "07:00")]
    pub drop: Option<String>,
    /// The sender's name for the order.
    #[schema(example = "till-2-000112")]
    pub order_ref: Option<String>,
}

impl PastLoadsBody {
    /// The loads, and who writes them down.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<(Vec<PastLoad>, Option<String>), Vec<Fault>> {
        let Self { who, loads } = self;
        let mut reader = Reader::default();
        let who = reader.words_option("who", who.as_deref());
        if loads.is_empty() || loads.len() > LOADS_MAX {
            let detail = format!("{} loads: write 1 to {LOADS_MAX} at once", loads.len());
            reader.fault("loads", "too-many", detail);
        }
        let loads = reader.each("loads", loads, PastLoadBody::read);
        reader.done((loads, who))
    }
}

impl PastLoadBody {
    fn read(reader: &mut Reader, body: &Self) -> PastLoad {
        let Self { load, formula, made_at, note, took, gave, sent } = body;
        if took.len() + gave.len() + sent.len() > LINES_MAX {
            reader.fault("took", "too-many", format!("write at most {LINES_MAX} lines for a load"));
        }
        let code = reader.code("formula", formula);
        PastLoad {
            name: reader.words("load", load),
            made_at: reader.instant("made_at", made_at),
            note: reader.words_option("note", note.as_deref()),
            took: reader.each("took", took, TookBody::read),
            gave: reader.each("gave", gave, |reader, gave| {
                let GaveBody { item, lot, quantity } = gave;
                Gave {
                    item: item.as_deref().map_or(code.clone(), |item| reader.code("item", item)),
                    lot: reader.words_option("lot", lot.as_deref()),
                    quantity: reader.quantity("quantity", quantity),
                }
            }),
            sent: reader.each("sent", sent, PastSentBody::read),
            formula: code,
        }
    }
}

impl TookBody {
    fn read(reader: &mut Reader, body: &Self) -> Took {
        let Self { item, lot, load, quantity } = body;
        if lot.is_some() && load.is_some() {
            reader.fault("load", "field-mismatch", "name a lot or a load, not both");
        }
        Took {
            item: reader.code("item", item),
            lot: reader.words_option("lot", lot.as_deref()),
            load: reader.words_option("load", load.as_deref()),
            quantity: reader.quantity("quantity", quantity),
        }
    }
}

impl PastSentBody {
    fn read(reader: &mut Reader, body: &Self) -> PastSent {
        let Self { product, lot, quantity, customer, service_date, drop, order_ref } = body;
        PastSent {
            item: reader.code("product", product),
            lot: reader.words_option("lot", lot.as_deref()),
            quantity: reader.quantity("quantity", quantity),
            customer: reader.code("customer", customer),
            service_date: service_date.as_deref().map(|text| reader.date("service_date", text)),
            drop: drop.as_deref().map(|text| reader.time("drop", text)),
            order_ref: reader.words_option("order_ref", order_ref.as_deref()),
        }
    }
}

/// Loads of the past as they are kept.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PastLoadsView {
    /// The loads, in the order of the request.
    pub loads: Vec<PastLoadView>,
}

/// A load of the past as it is kept.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PastLoadView {
    /// UUID of version 7.
    #[schema(example = "01975a30-1c00-7000-8000-000000000003")]
    pub id: String,
    /// What it was called.
    #[schema(example = "levain 30 Apr")]
    pub load: String,
    /// The lots that came out of it.
    pub gave: Vec<PastLotView>,
}

/// A lot that came out of a load of the past.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PastLotView {
    /// UUID of version 7.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub id: String,
    /// Its name.
    #[schema(example = "LEV-0430")]
    pub lot: String,
    /// Code of the item or product.
    #[schema(example = "levain")]
    pub item: String,
}

impl PastLoadsView {
    /// The loads that were written down.
    #[must_use]
    pub fn new(held: &[PastLoadHeld]) -> Self {
        let lot = |(id, lot, item): &(String, String, String)| PastLotView {
            id: id.clone(),
            lot: lot.clone(),
            item: item.clone(),
        };
        let load = |held: &PastLoadHeld| PastLoadView {
            id: held.id.clone(),
            load: held.name.clone(),
            gave: held.gave.iter().map(lot).collect(),
        };
        Self { loads: held.iter().map(load).collect() }
    }
}
