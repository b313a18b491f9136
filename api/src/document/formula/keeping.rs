//! What is kept of a made thing: seed, old dough, dough that waits for its divide.

use super::WindowBody;
use crate::document::{
    Reader,
    amount::{AtBody, QuantityBody},
};
use domain::{
    formula::{Divide, OldDough},
    quantity::Quantity,
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Levain: seed kept for the next build.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KeepBackBody {
    /// What the last build of a plan keeps; others keep the next build's seed.
    pub after_last: QuantityBody,
    /// How long the seed lives after its build, an ISO 8601 duration: on days without a build
    /// the levain is fed before that ends. Not fed if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "PT24H")]
    pub seed_life: Option<String>,
}

impl KeepBackBody {
    pub(super) fn after_last(&self, reader: &mut Reader) -> Quantity {
        reader.at("keep_back", |reader| reader.quantity("after_last", &self.after_last))
    }

    pub(super) fn seed_life(&self, reader: &mut Reader) -> Option<i64> {
        let Self { after_last: _, seed_life } = self;
        reader.at("keep_back", |reader| reader.minutes_option("seed_life", seed_life.as_deref()))
    }
}

/// When a kept dough is divided: a day and time, or the start of a step of a route that ends
/// at a drop on the service date.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"day": -1, "time": "13:00"}))]
pub struct DivideBody {
    /// Days after the service date; before it is negative.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = -1)]
    pub day: Option<i32>,
    /// Local time of that day, `HH:MM`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "13:00")]
    pub time: Option<String>,
    /// A route.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "custard-bun-route")]
    pub route: Option<String>,
    /// The step of it at which the dough is divided.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "divide-shape")]
    pub step: Option<String>,
    /// Local time of the drop, `HH:MM`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "07:00")]
    pub drop: Option<String>,
}

impl DivideBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Divide {
        let Self { day, time, route, step, drop } = self;
        match (day, time, route, step, drop) {
            (Some(day), Some(time), None, None, None) => {
                Divide::At(AtBody { day: *day, time: time.clone() }.read("divide", reader))
            }
            (None, None, Some(route), Some(step), Some(drop)) => {
                reader.at("divide", |reader| Divide::Step {
                    route: reader.code("route", route),
                    step: reader.words("step", step),
                    drop: reader.time("drop", drop),
                })
            }
            _ => {
                let detail = "say day and time, or route, step and drop";
                reader.fault("divide", "field-mismatch", detail);
                Divide::At(AtBody { day: 0, time: "00:00".to_owned() }.read("divide", reader))
            }
        }
    }
}

/// What a line asks of the fermented dough that it carries over.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OldDoughBody {
    /// Least and most age when it goes in.
    pub age: WindowBody,
    /// Most of it, in percent of the new flour; a formula that takes more is refused.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "30")]
    pub maximum: Option<String>,
}

impl OldDoughBody {
    pub(super) fn read(&self, reader: &mut Reader) -> OldDough {
        let Self { age, maximum } = self;
        reader.at("old_dough", |reader| OldDough {
            age_minutes: age.read("age", reader),
            most_percent: reader.decimal_option("maximum", maximum.as_deref()),
        })
    }
}
