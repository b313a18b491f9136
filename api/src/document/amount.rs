//! Amounts, money and times as they are written.

use super::Reader;
use domain::product::At;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// An exact amount of one unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"amount": "5160", "unit": "g"}))]
pub struct QuantityBody {
    /// A plain decimal as text, exact: no exponent, no sign but minus.
    #[schema(example = "5160")]
    pub amount: String,
    /// One of `mg`, `g`, `kg`, `mL`, `L`, `each`.
    #[schema(example = "g")]
    pub unit: String,
}

impl QuantityBody {
    /// An amount from its two texts.
    #[must_use]
    pub fn new(amount: impl Into<String>, unit: impl Into<String>) -> Self {
        Self { amount: amount.into(), unit: unit.into() }
    }
}

/// A sum of money in whole minor units, such as cents.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"minor_units": 2125, "currency": "EUR"}))]
pub struct MoneyBody {
    /// Whole minor units.
    #[schema(example = 2125)]
    pub minor_units: i64,
    /// Three letters of ISO 4217.
    #[schema(example = "EUR")]
    pub currency: String,
}

/// A local time, some days before or on the service date.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"day": -1, "time": "11:00"}))]
pub struct AtBody {
    /// Days after the service date; before it is negative.
    #[schema(example = -1)]
    pub day: i32,
    /// Local time, `HH:MM`.
    #[schema(example = "11:00")]
    pub time: String,
}

impl AtBody {
    /// The domain's value.
    pub fn read(&self, field: &str, reader: &mut Reader) -> At {
        let Self { day, time } = self;
        let time = reader.at(field, |reader| {
            if !(-31..=31).contains(day) {
                reader.fault("day", "out-of-range", format!("day is {day}: write -31 to 31"));
            }
            reader.time("time", time)
        });
        At { day: *day, time }
    }
}
