//! Yields as they are seen and answered.

use crate::{
    document::{Fault, Reader, amount::QuantityBody},
    service::yields::{AcceptYield, Seen, YieldHeld},
};
use domain::yields::{Observation, SUGGEST_FROM};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What went into a stage of a load and what came out of it.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ObservationBody {
    /// Code of the formula, or of the product for rejects.
    #[schema(example = "bun")]
    pub code: String,
    /// The stage as the loss chain names it; `reject` for finished pieces.
    #[schema(example = "scrap")]
    pub stage: String,
    /// The load or batch that it was seen on.
    #[schema(example = "2026-06-12/bun/1")]
    pub load: String,
    /// What went in.
    pub went_in: QuantityBody,
    /// What came out, in a unit of the same kind.
    pub came_out: QuantityBody,
    /// When; now if absent.
    #[schema(example = "2026-06-10T08:40:00+02:00")]
    pub at: Option<String>,
    /// Who saw it.
    #[schema(example = "Imre")]
    pub who: Option<String>,
}

impl ObservationBody {
    /// What was seen.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self, now: Timestamp) -> Result<Seen, Vec<Fault>> {
        let Self { code, stage, load, went_in, came_out, at, who } = self;
        let mut reader = Reader::default();
        let went = reader.quantity("went_in", went_in);
        let came = reader.quantity("came_out", came_out);
        if went.unit() != came.unit() {
            let detail = format!("{came} came out of {went}: say both in one unit");
            reader.fault("came_out/unit", "unit-mismatch", detail);
        }
        let seen = Seen {
            observation: Observation {
                code: reader.code("code", code),
                stage: reader.words("stage", stage),
                load: reader.words("load", load),
                in_micro: went.micro(),
                out_micro: came.micro(),
            },
            at: reader.instant_option("at", at.as_deref()).unwrap_or(now),
            who: reader.words_option("who", who.as_deref()),
        };
        reader.done(seen)
    }
}

/// A figure that a person takes for a loss.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AcceptYieldBody {
    /// Code of the formula, or of the product for rejects.
    #[schema(example = "bun")]
    pub code: String,
    /// The stage as the loss chain names it; `reject` for finished pieces.
    #[schema(example = "scrap")]
    pub stage: String,
    /// The figure in percent; what is suggested if absent.
    #[schema(example = "1.8")]
    pub percent: Option<String>,
    /// First service date for which a formula has it; today if absent.
    #[schema(example = "2026-06-15")]
    pub valid_from: Option<String>,
    /// Who takes it.
    #[schema(example = "Anna")]
    pub who: String,
}

impl AcceptYieldBody {
    /// What is taken.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<AcceptYield, Vec<Fault>> {
        let Self { code, stage, percent, valid_from, who } = self;
        let mut reader = Reader::default();
        let accepted = AcceptYield {
            code: reader.code("code", code),
            stage: reader.words("stage", stage),
            percent: reader.decimal_option("percent", percent.as_deref()),
            valid_from: valid_from.as_ref().map(|date| reader.date("valid_from", date)),
            who: reader.words("who", who),
        };
        reader.done(accepted)
    }
}

/// All losses, set and seen.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct YieldsView {
    /// By code and stage.
    pub rows: Vec<YieldView>,
    /// How a suggestion is taken.
    pub notes: Vec<String>,
}

/// One loss.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct YieldView {
    /// Code of the formula, or of the product for rejects.
    #[schema(example = "bun")]
    pub code: String,
    /// The stage.
    #[schema(example = "scrap")]
    pub stage: String,
    /// The figure that is set, in percent; null if the stage is not in the loss chain.
    #[schema(example = "1.5")]
    pub set: Option<String>,
    /// Loads that were seen.
    #[schema(example = 12)]
    pub observations: usize,
    /// Loads left out: more came out than went in.
    #[schema(example = 0)]
    pub odd: usize,
    /// All that was lost against all that went in, in percent; null if nothing was seen.
    #[schema(example = "1.82")]
    pub mean: Option<String>,
    /// Smallest loss of a load, in percent.
    #[schema(example = "1.2")]
    pub least: Option<String>,
    /// Largest loss of a load, in percent.
    #[schema(example = "2.6")]
    pub most: Option<String>,
    /// Standard deviation of the loads, in percent points.
    #[schema(example = "0.41")]
    pub spread: Option<String>,
    /// The figure that is suggested, in percent; null while too few loads were seen.
    #[schema(example = "1.8")]
    pub suggested: Option<String>,
    /// Whether the suggestion is another figure than the set one.
    #[schema(example = true)]
    pub differs: bool,
}

impl YieldsView {
    /// All losses.
    #[must_use]
    pub fn new(rows: &[YieldHeld]) -> Self {
        Self {
            rows: rows.iter().map(YieldView::new).collect(),
            notes: vec![
                format!("a figure is suggested once {SUGGEST_FROM} loads were seen"),
                "nothing changes by itself: a person takes a suggestion with POST \
                 /v1/yields/accept; loads released before keep the old figure"
                    .to_owned(),
            ],
        }
    }
}

impl YieldView {
    fn new(held: &YieldHeld) -> Self {
        let YieldHeld { code, stage, set_percent, seen } = held;
        let percent = |thousandths: i64| {
            domain::ratio::Ratio::new(thousandths.into(), 1000)
                .map_or_else(|_| String::new(), |ratio| ratio.to_decimal(3))
        };
        let set = set_percent.map(|percent| percent.to_decimal(6));
        let suggested = seen.as_ref().and_then(|seen| seen.suggested).map(percent);
        Self {
            code: code.clone(),
            stage: stage.clone(),
            observations: seen.as_ref().map_or(0, |seen| seen.observations),
            odd: seen.as_ref().map_or(0, |seen| seen.odd),
            mean: seen.as_ref().map(|seen| percent(seen.mean)),
            least: seen.as_ref().map(|seen| percent(seen.range.0)),
            most: seen.as_ref().map(|seen| percent(seen.range.1)),
            spread: seen.as_ref().and_then(|seen| seen.spread).map(percent),
            differs: suggested.is_some() && suggested != set,
            suggested,
            set,
        }
    }
}
