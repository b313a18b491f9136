//! Standing orders and counter par: weekday patterns of pieces.

use super::{Reader, Record};
use domain::standing_order::{
    Par, Pattern, Pause, StandingDay, StandingException, StandingLine, StandingOrder,
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What a customer wants on the same weekdays until further notice.
///
/// A posted order for the same customer, date and drop takes its place if it says so, and
/// is held as a probable duplicate if it says nothing.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StandingOrderBody {
    /// Its code.
    #[schema(example = "harbour-mornings")]
    pub code: String,
    /// Code of the customer.
    #[schema(example = "harbour-cafe")]
    pub customer: String,
    /// Local time of delivery or collection, `HH:MM`.
    #[schema(example = "07:00")]
    pub drop: String,
    /// First local service date.
    #[schema(example = "2026-06-16")]
    pub from: String,
    /// Last local service date, if anybody knows it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-09-30")]
    pub until: Option<String>,
    /// What is wanted on which weekdays; each weekday once.
    pub days: Vec<StandingDayBody>,
    /// Dates between which nothing is wanted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pauses: Vec<PauseBody>,
    /// Single dates that differ; the pattern stays as it is.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub exceptions: Vec<StandingExceptionBody>,
}

/// What a counter should open with, by weekday and event: made though nobody ordered it.
///
/// Orders of the customer come on top of it or out of it, as they say; finished pieces that
/// are still sold are taken off it.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ParBody {
    /// Its code.
    #[schema(example = "counter-week")]
    pub code: String,
    /// Code of the customer whose counter it is.
    #[schema(example = "counter")]
    pub customer: String,
    /// Local time at which the pieces must be there, `HH:MM`.
    #[schema(example = "07:00")]
    pub drop: String,
    /// First local service date.
    #[schema(example = "2026-06-16")]
    pub from: String,
    /// Last local service date, if anybody knows it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-09-30")]
    pub until: Option<String>,
    /// How many of what on which weekdays; each weekday once.
    pub days: Vec<StandingDayBody>,
    /// Dates between which the counter opens with nothing of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pauses: Vec<PauseBody>,
    /// Events: single dates that differ; the pattern stays as it is.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub exceptions: Vec<StandingExceptionBody>,
}

/// What is wanted on some weekdays.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StandingDayBody {
    /// The weekdays.
    #[schema(example = json!(["tue", "thu"]))]
    pub weekdays: Vec<String>,
    /// What is wanted on each of them.
    pub lines: Vec<StandingLineBody>,
}

/// One product of a standing order.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StandingLineBody {
    /// Code of the product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// Whole pieces, 1 or more.
    #[schema(example = 12)]
    pub quantity: i64,
}

/// Local dates between which nothing is wanted, both ends in.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PauseBody {
    /// The first.
    #[schema(example = "2026-07-20")]
    pub from: String,
    /// The last.
    #[schema(example = "2026-08-02")]
    pub until: String,
}

/// One date on which something else is wanted.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StandingExceptionBody {
    /// The local service date.
    #[schema(example = "2026-06-23")]
    pub date: String,
    /// All that is wanted then; nothing if it is empty.
    pub lines: Vec<StandingLineBody>,
}

impl Record for StandingOrderBody {
    const NOUN: &'static str = "standing_orders";

    fn code(&self) -> &str {
        &self.code
    }
}

impl StandingOrderBody {
    pub(super) fn read(&self, reader: &mut Reader) -> StandingOrder {
        let Self { code, customer, drop, from, until, days, pauses, exceptions } = self;
        StandingOrder {
            code: reader.code("code", code),
            customer: reader.code("customer", customer),
            drop: reader.time("drop", drop),
            pattern: read_pattern(reader, (from, until.as_deref()), days, pauses, exceptions),
        }
    }
}

impl Record for ParBody {
    const NOUN: &'static str = "pars";

    fn code(&self) -> &str {
        &self.code
    }
}

impl ParBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Par {
        let Self { code, customer, drop, from, until, days, pauses, exceptions } = self;
        Par {
            code: reader.code("code", code),
            customer: reader.code("customer", customer),
            drop: reader.time("drop", drop),
            pattern: read_pattern(reader, (from, until.as_deref()), days, pauses, exceptions),
        }
    }
}

fn read_pattern(
    reader: &mut Reader,
    (from, until): (&str, Option<&str>),
    days: &[StandingDayBody],
    pauses: &[PauseBody],
    exceptions: &[StandingExceptionBody],
) -> Pattern {
    Pattern {
        from: reader.date("from", from),
        until: until.map(|text| reader.date("until", text)),
        days: reader.each("days", days, |reader, StandingDayBody { weekdays, lines }| {
            StandingDay {
                weekdays: reader.weekdays("weekdays", weekdays),
                lines: read_lines(reader, lines),
            }
        }),
        pauses: reader.each("pauses", pauses, |reader, PauseBody { from, until }| Pause {
            from: reader.date("from", from),
            until: reader.date("until", until),
        }),
        exceptions: reader.each(
            "exceptions",
            exceptions,
            |reader, StandingExceptionBody { date, lines }| StandingException {
                date: reader.date("date", date),
                lines: read_lines(reader, lines),
            },
        ),
    }
}

fn read_lines(reader: &mut Reader, lines: &[StandingLineBody]) -> Vec<StandingLine> {
    reader.each("lines", lines, |reader, StandingLineBody { product, quantity }| StandingLine {
        product: reader.code("product", product),
        pieces: *quantity,
    })
}
