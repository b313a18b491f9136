//! When and how a formula is made.

use super::{Reader, amount::AtBody};
use domain::formula::{Addition, Made, Mixing};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// When a formula is made: a day and time; the start of a step of a route that ends at a
/// drop on the service date; or when the routes of the products on it allow.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"day": -1, "time": "11:00"}))]
pub struct MadeBody {
    /// Days after the service date; before it is negative.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = -1)]
    pub day: Option<i32>,
    /// Local time of that day, `HH:MM`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "11:00")]
    pub time: Option<String>,
    /// It may start as late as this on the same day, `HH:MM`; exactly at `time` if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "12:30")]
    pub until: Option<String>,
    /// The step of the products' own routes at which this is made.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "weigh")]
    pub by_products: Option<String>,
    /// A route.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "custard-bun-route")]
    pub route: Option<String>,
    /// The step of it at which this is made.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "weigh")]
    pub step: Option<String>,
    /// Local time of the drop, `HH:MM`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "07:00")]
    pub drop: Option<String>,
}

impl MadeBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Made {
        let Self { day, time, until, by_products, route, step, drop } = self;
        let by_route = (route, step, drop);
        match (day, time, until, by_products, by_route) {
            (Some(day), Some(time), until, None, (None, None, None)) => Made::At {
                at: AtBody { day: *day, time: time.clone() }.read("made", reader),
                until: until
                    .as_ref()
                    .map(|until| reader.at("made", |reader| reader.time("until", until))),
            },
            (None, None, None, Some(step), (None, None, None)) => Made::Products {
                step: reader.at("made", |reader| reader.words("by_products", step)),
            },
            (None, None, None, None, (Some(route), Some(step), Some(drop))) => {
                reader.at("made", |reader| Made::Step {
                    route: reader.code("route", route),
                    step: reader.words("step", step),
                    drop: reader.time("drop", drop),
                })
            }
            _ => {
                let detail = "say day and time, or route, step and drop, or by_products";
                reader.fault("made", "field-mismatch", detail);
                Made::Products { step: String::new() }
            }
        }
    }
}

/// How a load is mixed.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MixingBody {
    /// Minutes on slow speed.
    #[schema(example = 4)]
    pub slow_minutes: i64,
    /// Minutes on fast speed; 0 if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 6)]
    pub fast_minutes: Option<i64>,
    /// Minutes between two loads; 0 if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 5)]
    pub between_minutes: Option<i64>,
    /// How warm the dough should come out, in degrees Celsius.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "26")]
    pub target: Option<String>,
    /// What goes in later than at the start, in order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub additions: Vec<AdditionBody>,
}

/// When an ingredient goes into a mix that is running.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AdditionBody {
    /// Which ingredient of the formula.
    #[schema(example = "butter")]
    pub item: String,
    /// Minutes after the mixer starts.
    #[schema(example = 5)]
    pub minute: i64,
}

impl MixingBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Mixing {
        let Self { slow_minutes, fast_minutes, between_minutes, target, additions } = self;
        Mixing {
            slow_minutes: *slow_minutes,
            fast_minutes: fast_minutes.unwrap_or(0),
            between_minutes: between_minutes.unwrap_or(0),
            target: target.as_ref().map(|text| reader.celsius("target", text)),
            additions: reader.each("additions", additions, |reader, addition| {
                let AdditionBody { item, minute } = addition;
                Addition { item: reader.code("item", item), minute: *minute }
            }),
        }
    }
}
