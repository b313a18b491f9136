//! How warm the water of a load is and how much of it is ice, as it stands on paper.

use crate::{
    messages::Sentence,
    wire::printed::{self, PrintedView},
};
use domain::{
    bakery::UsualTemperatures,
    plan::mixes::{LoadWater, Missing, Mix, Temperatures, WaterSum},
    quantity::Unit,
    temperature::Celsius,
};
use serde::Serialize;
use utoipa::ToSchema;

/// Temperatures that the water of a print was computed with, in degrees Celsius.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct AssumedView {
    /// Of the flour; none if it is not on file.
    #[schema(example = "18")]
    pub flour: Option<String>,
    /// Of the room.
    #[schema(example = "22")]
    pub room: Option<String>,
    /// Of the tap water.
    #[schema(example = "14")]
    pub tap: Option<String>,
    /// Of preferments and old dough.
    #[schema(example = "24")]
    pub preferment: Option<String>,
    /// Which of them were asked for with this print; the others are the house's usual ones.
    pub asked: Vec<&'static str>,
}

/// The water of one load.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct WaterView {
    /// `poured`, `not-on-file` (measure and write it in), `too-cold` (no ice is enough) or `none`.
    #[schema(example = "poured")]
    pub state: &'static str,
    /// Water and ice together: what the weigh-out says.
    pub all: PrintedView,
    /// How warm water and ice must be together, in degrees Celsius to the half degree.
    #[schema(example = "24.5")]
    pub temperature: Option<String>,
    /// Water from the tap, less the ice.
    pub water: Option<PrintedView>,
    /// Ice that replaces water; none if the tap is cold enough.
    pub ice: Option<PrintedView>,
    /// What the sum lacks, in words.
    pub missing: Vec<&'static str>,
    /// The sum, in degrees Celsius.
    #[schema(value_type = Option<String>, example = "3 × 26 - (flour 18 + room 22 + friction 12) = 26")]
    pub sum: Option<Sentence>,
}

/// Temperatures for a print: asked for, else the house's usual ones, else none.
pub(super) fn assumed(
    usual: Option<UsualTemperatures>,
    asked: Temperatures,
) -> (AssumedView, Temperatures) {
    let used = Temperatures {
        flour: asked.flour.or(usual.map(|usual| usual.flour)),
        room: asked.room.or(usual.map(|usual| usual.room)),
        tap: asked.tap.or(usual.map(|usual| usual.tap)),
        preferment: asked.preferment.or(usual.and_then(|usual| usual.preferment)),
    };
    let names = [
        ("flour", asked.flour),
        ("room", asked.room),
        ("tap", asked.tap),
        ("preferment", asked.preferment),
    ];
    let text = |temperature: Option<Celsius>| temperature.map(Celsius::decimal);
    let view = AssumedView {
        flour: text(used.flour),
        room: text(used.room),
        tap: text(used.tap),
        preferment: text(used.preferment),
        asked: names.into_iter().filter(|(_, of)| of.is_some()).map(|(name, _)| name).collect(),
    };
    (view, used)
}

pub(super) fn water(mix: &Mix) -> WaterView {
    let blank = WaterView {
        state: "none",
        all: printed::sum(mix.water_ug),
        temperature: None,
        water: None,
        ice: None,
        missing: Vec::new(),
        sum: None,
    };
    match &mix.water {
        LoadWater::None => blank,
        LoadWater::NotOnFile(missing) => WaterView {
            state: "not-on-file",
            missing: missing.iter().map(|what| missing_word(*what)).collect(),
            ..blank
        },
        LoadWater::Poured(sum, pour) => WaterView {
            state: "poured",
            temperature: Some(pour.temperature.decimal()),
            water: Some(printed::sum(pour.water_ug)),
            ice: (pour.ice_ug > 0).then(|| printed::amount(pour.ice_ug, Unit::Gram)),
            sum: Some(words(sum)),
            ..blank
        },
        LoadWater::TooCold(sum) => WaterView { state: "too-cold", sum: Some(words(sum)), ..blank },
    }
}

const fn missing_word(missing: Missing) -> &'static str {
    match missing {
        Missing::Target => "the dough's target temperature",
        Missing::Friction => "the mixer's friction",
        Missing::Flour => "the flour's temperature",
        Missing::Room => "the room's temperature",
        Missing::Preferment => "the preferment's temperature",
        Missing::Tap => "the tap's temperature",
    }
}

/// The sum as a person with a calculator does it.
fn words(sum: &WaterSum) -> Sentence {
    let WaterSum { target, around, friction, tap: _, wanted } = sum;
    let (message, times) = match around.preferment {
        Some(_) => ("mix-sheet-sum-preferment", "4"),
        None => ("mix-sheet-sum", "3"),
    };
    let said = Sentence::of(message)
        .with("times", times)
        .with("target", Sentence::digits(target.decimal()))
        .with("flour", Sentence::digits(around.flour.decimal()))
        .with("room", Sentence::digits(around.room.decimal()))
        .with("friction", Sentence::digits(friction.decimal()))
        .with("wanted", Sentence::digits(wanted.decimal()));
    match around.preferment {
        Some(warm) => said.with("preferment", Sentence::digits(warm.decimal())),
        None => said,
    }
}
