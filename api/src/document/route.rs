//! Routes: the ordered steps of a product, with times and people.

use super::{Reader, Record, formula::WindowBody};
use domain::route::{AgeLimit, Length, Route, RouteLimit, Station, Step};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The steps that lead to a drop, in order.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RouteBody {
    /// Its code.
    #[schema(example = "bun-route")]
    pub code: String,
    /// Its steps, first to last.
    pub steps: Vec<StepBody>,
    /// Bounds over several steps together.
    #[serde(default)]
    pub limits: Vec<LimitBody>,
    /// Age windows between its events.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ages: Vec<AgeBody>,
}

/// The least and most age between the end of one step and the start of a later one.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AgeBody {
    /// Counted from the end of this step.
    #[schema(example = "bulk")]
    pub after: String,
    /// To the start of this step.
    #[schema(example = "divide-shape")]
    pub before: String,
    /// Least age.
    #[schema(example = "PT12H")]
    pub least: String,
    /// Most age.
    #[schema(example = "PT48H")]
    pub most: String,
}

/// One step: exactly one of `minutes`, `per_load`, `per_piece_seconds` and `window`.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StepBody {
    /// Its name.
    #[schema(example = "weigh")]
    pub step: String,
    /// Minutes, always the same.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minutes: Option<i64>,
    /// Minutes for each load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per_load: Option<i64>,
    /// Minutes between two loads.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub between: Option<i64>,
    /// Seconds for each piece, rounded up to whole minutes for all of them.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 20)]
    pub per_piece_seconds: Option<i64>,
    /// Anything between a least and a most.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub window: Option<WindowBody>,
    /// Who must be there all the time.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub team: Option<String>,
    /// Who must be there when it starts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start_team: Option<String>,
    /// What it occupies while it runs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub station: Option<StationBody>,
}

/// What a step occupies: the formula's mixer, the product's oven, or slots of a place.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum StationBody {
    /// The mixer of the formula that is made.
    Mixer,
    /// The oven of the product that is baked.
    Oven,
    /// Slots of a place.
    Place {
        /// Which place.
        #[schema(example = "retarder")]
        place: String,
    },
}

/// A bound over several steps.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LimitBody {
    /// The steps.
    pub steps: Vec<String>,
    /// Most of them together.
    #[schema(example = "PT48H")]
    pub most: String,
}

impl Record for RouteBody {
    const NOUN: &'static str = "routes";

    fn code(&self) -> &str {
        &self.code
    }
}

impl RouteBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Route {
        let Self { code, steps, limits, ages } = self;
        Route {
            code: reader.code("code", code),
            steps: reader.each("steps", steps, |reader, step| step.read(reader)),
            limits: reader.each("limits", limits, |reader, LimitBody { steps, most }| RouteLimit {
                steps: steps.clone(),
                most_minutes: reader.minutes("most", most),
            }),
            ages: reader.each("ages", ages, |reader, AgeBody { after, before, least, most }| {
                AgeLimit {
                    after: reader.words("after", after),
                    before: reader.words("before", before),
                    least_minutes: reader.minutes("least", least),
                    most_minutes: reader.minutes("most", most),
                }
            }),
        }
    }
}

impl StepBody {
    fn read(&self, reader: &mut Reader) -> Step {
        let Self {
            step,
            minutes,
            per_load,
            between,
            per_piece_seconds,
            window,
            team,
            start_team,
            station,
        } = self;
        let length = match (minutes, per_load, per_piece_seconds, window) {
            (Some(minutes), None, None, None) => Length::Fixed { minutes: *minutes },
            (None, Some(minutes), None, None) => {
                Length::PerLoad { minutes: *minutes, between_minutes: between.unwrap_or(0) }
            }
            (None, None, Some(seconds), None) => Length::PerPiece { seconds: *seconds },
            (None, None, None, Some(window)) => {
                let (least_minutes, most_minutes) = window.read("window", reader);
                Length::Window { least_minutes, most_minutes }
            }
            _ => {
                let detail = format!(
                    "`{step}` needs exactly one of minutes, per_load, \
                     per_piece_seconds and window"
                );
                reader.fault("", "field-mismatch", detail);
                Length::Fixed { minutes: 0 }
            }
        };
        Step {
            name: reader.words("step", step),
            length,
            team: reader.code_option("team", team.as_deref()),
            start_team: reader.code_option("start_team", start_team.as_deref()),
            station: station.as_ref().map(|station| match station {
                StationBody::Mixer => Station::Mixer,
                StationBody::Oven => Station::Oven,
                StationBody::Place { place } => {
                    Station::Place(reader.at("station", |reader| reader.code("place", place)))
                }
            }),
        }
    }
}
