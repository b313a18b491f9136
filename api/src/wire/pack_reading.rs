//! What the pack of one lot says of allergens.

use super::{allergens::AllergensView, amount::instant, receipt::PackAllergensBody};
use crate::{
    document::{Fault, Reader},
    service::stock::{LotAllergens, PackReading},
};
use domain::{bakery::Bakery, item::AllergenRecord};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A pack of a lot was read.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PackReadingBody {
    /// Who read it, 1 to 200 characters.
    #[schema(example = "Imre")]
    pub who: String,
    /// What it says; an empty list means that the pack names none, and not that there is none.
    pub pack: PackAllergensBody,
}

impl PackReadingBody {
    /// Who read it, and what it says.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<(String, AllergenRecord), Vec<Fault>> {
        let mut reader = Reader::default();
        let who = reader.words("who", &self.who);
        let record = reader.at("pack", |reader| self.pack.read(reader));
        reader.done((who, record))
    }
}

/// The record of a lot's item, and what was read on the lot's own packs.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LotAllergensView {
    /// Id of the lot.
    pub id: String,
    /// Its lot code.
    #[schema(example = "LS-88")]
    pub lot: String,
    /// Code of the item.
    #[schema(example = "linseed")]
    pub item: String,
    /// What may be done with it.
    #[schema(example = "hold")]
    pub state: &'static str,
    /// Why it is on hold, with the products and customers that it touches.
    pub hold_reason: Option<String>,
    /// What the record of the item says.
    pub record: PackView,
    /// Readings of this lot, oldest first: the last one holds for it.
    pub readings: Vec<PackView>,
    /// What the last reading adds to the record.
    pub added: AllergensView,
    /// What the record has and the last reading has not.
    pub gone: AllergensView,
}

/// What somebody read.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PackView {
    /// What is in it.
    pub contains: Vec<String>,
    /// What may be in it.
    #[schema(example = json!(["sesame"]))]
    pub may_contain: Vec<String>,
    /// Whether anybody read it; unknown is never none.
    pub known: bool,
    /// Which edition of the text it is.
    #[schema(example = "2026-05")]
    pub version: Option<String>,
    /// Where it was read.
    #[schema(example = "the pack")]
    pub source: Option<String>,
    /// Who read it.
    #[schema(example = "Imre")]
    pub who: Option<String>,
    /// When: a date of a record, an instant of a reading.
    pub at: Option<String>,
}

impl PackView {
    fn new(record: &AllergenRecord, who: Option<&String>, at: Option<String>) -> Self {
        let AllergenRecord { contains, may_contain, known, version, source, .. } = record;
        Self {
            contains: contains.iter().cloned().collect(),
            may_contain: may_contain.iter().cloned().collect(),
            known: *known,
            version: version.clone(),
            source: source.clone(),
            who: who.cloned(),
            at,
        }
    }
}

impl LotAllergensView {
    /// The readings of a lot, on the bakery's clock.
    #[must_use]
    pub fn new(bakery: &Bakery, found: &LotAllergens) -> Self {
        let LotAllergens { lot, name, state, hold_reason, item, record, readings, difference } =
            found;
        let zone = &bakery.site().time_zone;
        let reading = |PackReading { record, who, at }: &PackReading| {
            PackView::new(record, who.as_ref(), Some(instant(zone, *at)))
        };
        Self {
            id: lot.clone(),
            lot: name.clone(),
            item: item.clone(),
            state: state.word(),
            hold_reason: hold_reason.clone(),
            record: PackView::new(record, None, record.read_on.map(|date| date.to_string())),
            readings: readings.iter().map(reading).collect(),
            added: AllergensView::new(bakery, &difference.added),
            gone: AllergensView::new(bakery, &difference.gone),
        }
    }
}
