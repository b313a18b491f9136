//! Places, scales, mixers and ovens.

use super::{Reader, Record, amount::QuantityBody};
use domain::{
    equipment::{Mixer, Oven, Place, PlaceKind},
    quantity::{Quantity, Unit},
    scale::Scale,
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Where things are kept.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PlaceBody {
    /// Its code.
    #[schema(example = "dry-store")]
    pub code: String,
    /// What people call it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// What kind of place it is.
    pub kind: PlaceKindBody,
    /// How many trays, boards or hands it holds at once; not counted if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 60)]
    pub slots: Option<i64>,
    /// How warm it usually is inside, in degrees Celsius: proving times hold at this temperature.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "27")]
    pub temperature: Option<String>,
}

/// What kind of place something is kept in.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PlaceKindBody {
    /// Shelves at room temperature.
    Dry,
    /// A fridge.
    Chiller,
    /// A freezer.
    Freezer,
    /// Where the scales stand.
    WeighRoom,
    /// A cold proving cabinet.
    Retarder,
    /// A warm proving cabinet.
    Prover,
    /// Tables where hands divide and shape.
    Bench,
    /// Where stock on hold waits.
    HoldCage,
    /// A bin or silo that holds several lots at once.
    Bin,
}

impl Record for PlaceBody {
    const NOUN: &'static str = "places";

    fn code(&self) -> &str {
        &self.code
    }
}

impl PlaceBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Place {
        let Self { code, name, kind, slots, temperature } = self;
        let kind = match kind {
            PlaceKindBody::Dry => PlaceKind::Dry,
            PlaceKindBody::Chiller => PlaceKind::Chiller,
            PlaceKindBody::Freezer => PlaceKind::Freezer,
            PlaceKindBody::WeighRoom => PlaceKind::WeighRoom,
            PlaceKindBody::Retarder => PlaceKind::Retarder,
            PlaceKindBody::Prover => PlaceKind::Prover,
            PlaceKindBody::Bench => PlaceKind::Bench,
            PlaceKindBody::HoldCage => PlaceKind::HoldCage,
            PlaceKindBody::Bin => PlaceKind::Bin,
        };
        Place {
            code: reader.code("code", code),
            name: reader.name(name.as_deref(), code),
            kind,
            slots: *slots,
            temperature: temperature.as_ref().map(|text| reader.celsius("temperature", text)),
        }
    }
}

/// A scale that hands use.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ScaleBody {
    /// Its code.
    #[schema(example = "floor")]
    pub code: String,
    /// Most it carries.
    pub capacity: QuantityBody,
    /// What one step of its display is worth.
    pub division: QuantityBody,
    /// Least that should be weighed on it.
    pub from: QuantityBody,
}

impl Record for ScaleBody {
    const NOUN: &'static str = "scales";

    fn code(&self) -> &str {
        &self.code
    }
}

impl ScaleBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Option<Scale> {
        let Self { code, capacity, division, from } = self;
        let code_read = reader.code("code", code);
        let capacity = reader.quantity("capacity", capacity);
        let division = reader.quantity("division", division);
        let from = reader.quantity("from", from);
        match Scale::new(code_read, capacity, division, from) {
            Ok(scale) => Some(scale),
            Err(error) => {
                reader.fault("", "out-of-range", format!("scale `{code}`: {error}"));
                None
            }
        }
    }
}

/// A mixer, kettle or pan.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MixerBody {
    /// Its code.
    #[schema(example = "floor-spiral")]
    pub code: String,
    /// What people call it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Below this the hook does not catch.
    pub minimum: QuantityBody,
    /// What stays in the bowl of each load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub residue: Option<QuantityBody>,
    /// Most dough of each class in one load.
    pub maximum: Vec<MaximumBody>,
    /// Minutes to wash it between doughs of different allergens; 0 if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 15)]
    pub wash_minutes: Option<i64>,
    /// What its friction adds to a dough, in degrees; nothing is assumed if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "12")]
    pub friction: Option<String>,
}

/// Most dough of a class in one load.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MaximumBody {
    /// The class.
    #[schema(example = "lean")]
    pub dough_class: String,
    /// The most of it.
    pub mass: QuantityBody,
}

impl Record for MixerBody {
    const NOUN: &'static str = "mixers";

    fn code(&self) -> &str {
        &self.code
    }
}

impl MixerBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Mixer {
        let Self { code, name, minimum, residue, maximum, wash_minutes, friction } = self;
        Mixer {
            code: reader.code("code", code),
            name: reader.name(name.as_deref(), code),
            minimum_ug: mass_ug("minimum", minimum, reader),
            residue_ug: residue.as_ref().map_or(0, |residue| mass_ug("residue", residue, reader)),
            maximum_ug: reader.each(
                "maximum",
                maximum,
                |reader, MaximumBody { dough_class, mass }| {
                    (reader.words("dough_class", dough_class), mass_ug("mass", mass, reader))
                },
            ),
            wash_minutes: wash_minutes.unwrap_or(0),
            friction: friction.as_ref().map(|text| reader.kelvin("friction", text)),
        }
    }
}

fn mass_ug(field: &str, body: &QuantityBody, reader: &mut Reader) -> i64 {
    let quantity: Quantity = reader.quantity(field, body);
    if quantity.unit() != Unit::Gram {
        let detail = format!("{field} is in {}: a mixer needs a mass, in g or kg", body.unit);
        reader.fault(&format!("{field}/unit"), "unit-mismatch", detail);
    }
    quantity.micro()
}

/// An oven.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OvenBody {
    /// Its code.
    #[schema(example = "rack")]
    pub code: String,
    /// What people call it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Decks with a program of their own each; 1 if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1)]
    pub decks: Option<i64>,
    /// Trays in one filling of a deck.
    #[schema(example = 18)]
    pub trays: i64,
    /// Minutes to load a deck; 0 if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 3)]
    pub loading_minutes: Option<i64>,
    /// Seconds to heat a deck by one degree; 0 if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 12)]
    pub heat_seconds_per_degree: Option<i64>,
    /// Seconds to cool a deck by one degree; 0 if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 20)]
    pub cool_seconds_per_degree: Option<i64>,
}

impl Record for OvenBody {
    const NOUN: &'static str = "ovens";

    fn code(&self) -> &str {
        &self.code
    }
}

impl OvenBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Oven {
        let Self {
            code,
            name,
            decks,
            trays,
            loading_minutes,
            heat_seconds_per_degree,
            cool_seconds_per_degree,
        } = self;
        Oven {
            code: reader.code("code", code),
            name: reader.name(name.as_deref(), code),
            decks: decks.unwrap_or(1),
            trays: *trays,
            loading_minutes: loading_minutes.unwrap_or(0),
            heat_seconds_per_degree: heat_seconds_per_degree.unwrap_or(0),
            cool_seconds_per_degree: cool_seconds_per_degree.unwrap_or(0),
        }
    }
}
