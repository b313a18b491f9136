//! Decisions on too little, as they are asked and answered.

use super::{amount::instant, named};
use crate::{
    document::{Fault, Reader},
    messages::Sentence,
    service::decisions::{Decide, DecidedLine, DecisionHeld, Lines},
};
use domain::{bakery::Bakery, limits::PIECES_MAX};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Lines of one decision.
const LINES_MAX: usize = 3_000;

/// What a person decides: either lines, or one way to cut as it was read.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DecisionBody {
    /// Which lines get how much.
    #[serde(default)]
    pub lines: Vec<DecisionLineBody>,
    /// `fair` or `best`: all lines of that way; with `plan_revision`.
    #[schema(example = "fair")]
    pub way: Option<String>,
    /// The revision at which the ways were read.
    pub plan_revision: Option<i64>,
    /// Who decides, 1 to 200 characters.
    #[schema(example = "Anna")]
    pub who: String,
    /// Why, 1 to 200 characters.
    #[schema(example = "no butter sheets before Friday")]
    pub note: String,
}

/// What the orders of one customer, product and drop get.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DecisionLineBody {
    /// Who ordered.
    #[schema(example = "harbour-cafe")]
    pub customer: String,
    /// What was ordered.
    #[schema(example = "croissant")]
    pub product: String,
    /// The drop, as the order names it; absent if it names none.
    #[schema(example = "07:00")]
    pub drop: Option<String>,
    /// Whole pieces at most.
    #[schema(example = 31)]
    pub pieces: i64,
}

/// A decision; the orders keep what was asked.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DecisionView {
    /// Its id.
    pub id: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Which lines get how much.
    #[schema(value_type = Vec<DecisionLineBody>)]
    pub lines: Vec<DecidedLineView>,
    /// Who decided.
    #[schema(example = "Anna")]
    pub who: String,
    /// Why.
    pub note: String,
    /// When it was written down.
    #[schema(example = "2026-06-10T12:10:00+02:00")]
    pub recorded_at: String,
    /// The plan revision that it made.
    pub plan_revision: i64,
    /// Who took it back and why; null while it holds.
    pub taken_back: Option<TakenBackView>,
}

/// What the orders of one customer, product and drop get, as it was decided: on the wire a
/// [`DecisionLineBody`], to a reader with names.
#[derive(Debug, Clone, Serialize)]
pub struct DecidedLineView {
    /// Who ordered.
    pub customer: Sentence,
    /// What was ordered.
    pub product: Sentence,
    /// The drop, as the order names it; null if it names none.
    pub drop: Option<String>,
    /// Whole pieces at most.
    pub pieces: i64,
}

/// Who took something back.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TakenBackView {
    /// Who.
    pub who: String,
    /// Why.
    pub note: String,
}

/// Who takes something back.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TakeBackBody {
    /// Who, 1 to 200 characters.
    #[schema(example = "Anna")]
    pub who: String,
    /// Why, 1 to 200 characters.
    #[schema(example = "a neighbour lends us a case")]
    pub note: String,
}

impl DecisionBody {
    /// Reads a decision for a service date.
    ///
    /// # Errors
    /// Every fault with its place.
    pub fn read(&self, service_date: Date) -> Result<Decide, Vec<Fault>> {
        let Self { lines, way, plan_revision, who, note } = self;
        let mut reader = Reader::default();
        let (who, note) = (reader.words("who", who), reader.words("note", note));
        if lines.len() > LINES_MAX {
            reader.fault("lines", "too-many", format!("at most {LINES_MAX} lines"));
        }
        let written = reader.each("lines", lines, |reader, line| line.read(reader));
        let lines = match (way.as_deref(), plan_revision) {
            (None, None) => Lines::Written(written),
            (Some(way @ ("fair" | "best")), Some(revision)) if lines.is_empty() => {
                Lines::Way { best: way == "best", plan_revision: *revision }
            }
            (Some(way), _) if !matches!(way, "fair" | "best") => {
                reader.fault("way", "malformed", format!("`{way}` is no way: fair or best"));
                Lines::Written(Vec::new())
            }
            _ => {
                let detail = "write either lines, or way with the plan_revision it was read at";
                reader.fault("way", "field-mismatch", detail);
                Lines::Written(Vec::new())
            }
        };
        reader.done(Decide { service_date, lines, who, note })
    }
}

impl DecisionLineBody {
    fn read(&self, reader: &mut Reader) -> DecidedLine {
        let Self { customer, product, drop, pieces } = self;
        if !(0..=PIECES_MAX).contains(pieces) {
            let detail = format!("{pieces} pieces: say 0 to {PIECES_MAX}");
            reader.fault("pieces", "out-of-range", detail);
        }
        DecidedLine {
            customer: reader.code("customer", customer),
            product: reader.code("product", product),
            drop: drop.as_deref().map(|drop| reader.time("drop", drop)),
            pieces: *pieces,
        }
    }
}

impl TakeBackBody {
    /// Who takes it back, and why.
    ///
    /// # Errors
    /// Every fault with its place.
    pub fn read(&self) -> Result<(String, String), Vec<Fault>> {
        let Self { who, note } = self;
        let mut reader = Reader::default();
        let read = (reader.words("who", who), reader.words("note", note));
        reader.done(read)
    }
}

impl DecisionView {
    /// A decision as it is held.
    #[must_use]
    pub fn new(bakery: &Bakery, held: &DecisionHeld) -> Self {
        let DecisionHeld {
            id,
            service_date,
            lines,
            who,
            note,
            recorded_at,
            plan_revision,
            taken_back,
        } = held;
        let line = |line: &DecidedLine| DecidedLineView {
            customer: named::customer(bakery, line.customer.as_str()),
            product: named::made(bakery, line.product.as_str()),
            drop: line.drop.map(|drop| drop.strftime("%H:%M").to_string()),
            pieces: line.pieces,
        };
        Self {
            id: id.clone(),
            service_date: service_date.to_string(),
            lines: lines.iter().map(line).collect(),
            who: who.clone(),
            note: note.clone(),
            recorded_at: instant(&bakery.site().time_zone, *recorded_at),
            plan_revision: *plan_revision,
            taken_back: taken_back
                .as_ref()
                .map(|(who, note)| TakenBackView { who: who.clone(), note: note.clone() }),
        }
    }
}
