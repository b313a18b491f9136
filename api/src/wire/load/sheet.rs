//! A whole sheet of steps, typed in at once.

use super::{
    BakedLoadBody, CountBackBody, DividedBody, LostBody, MixedBody, PassBody, ReleaseBody,
    SentBody, WeighingsBody,
};
use crate::{
    document::{Fault, Undecodable, decode},
    problem::{Problem, ProblemView},
    service::{
        Refusal,
        loads::{LoadHistory, Step, Task, TaskRow, Typed},
    },
};
use domain::load::LoadState;
use serde::{Deserialize, Serialize, de::DeserializeOwned};
use serde_json::value::RawValue;
use utoipa::ToSchema;

/// Rows of one sheet at most.
pub const SHEET_ROWS_MAX: usize = 1_000;

/// Steps of many loads, in the order in which they are done.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LoadSheetBody {
    /// Whether one row that cannot be stops all; each row has its own outcome if absent.
    #[serde(default)]
    pub all_or_nothing: bool,
    /// At most 1,000 rows.
    pub rows: Vec<LoadSheetRowBody>,
}

/// One step of one load.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LoadSheetRowBody {
    /// The load: its UUID, or its name such as `2026-06-12:bun:1`.
    #[schema(example = "2026-06-12:bun:1")]
    pub load: String,
    /// `release`, `weighings`, `mixed`, `divided`, `baked`, `packed`, `sent`, `cancelled`,
    /// `lost` or `count-back`.
    #[schema(example = "weighings")]
    pub step: String,
    /// What `POST /v1/loads/{id}/{step}` takes.
    #[schema(value_type = Object, example = json!({"who": "Ben"}))]
    pub body: Box<RawValue>,
}

impl LoadSheetBody {
    /// The rows, each by itself.
    ///
    /// # Errors
    /// A fault if there are too many.
    pub fn read(&self) -> Result<Vec<Typed>, Vec<Fault>> {
        if self.rows.len() > SHEET_ROWS_MAX {
            let detail = format!(
                "{} rows on one sheet: send at most {SHEET_ROWS_MAX} at a time",
                self.rows.len()
            );
            return Err(vec![Fault { pointer: "/rows".to_owned(), kind: "too-many", detail }]);
        }
        Ok(self.rows.iter().map(LoadSheetRowBody::read).collect())
    }
}

/// A body of a step, decoded.
fn body<T: DeserializeOwned>(text: &RawValue) -> Result<T, Vec<Fault>> {
    decode(text.get().as_bytes()).map_err(|error| match error {
        Undecodable::Shape(fault) => vec![fault],
        Undecodable::NotJson(detail) => {
            vec![Fault { pointer: String::new(), kind: "malformed", detail }]
        }
    })
}

impl LoadSheetRowBody {
    fn read(&self) -> Typed {
        let Self { load, step, body: text } = self;
        let (step, task): (Step, Task) = match step.as_str() {
            "release" => {
                let (step, seen) = body::<ReleaseBody>(text)?.read()?;
                (step, Task::Release(seen))
            }
            "weighings" => {
                let (step, lines) = body::<WeighingsBody>(text)?.read()?;
                (step, Task::Weigh(lines))
            }
            "mixed" => {
                let (step, mixed) = body::<MixedBody>(text)?.read()?;
                (step, Task::Mix(mixed))
            }
            "divided" => {
                let (step, divided) = body::<DividedBody>(text)?.read()?;
                (step, Task::Divide(divided))
            }
            "baked" | "packed" => {
                let to = if step == "baked" { LoadState::Baked } else { LoadState::Packed };
                let (step, outcome) = body::<BakedLoadBody>(text)?.read()?;
                (step, Task::Bake(to, outcome))
            }
            "sent" => {
                let (step, outcome) = body::<SentBody>(text)?.read()?;
                (step, Task::Bake(LoadState::Sent, outcome))
            }
            "count-back" => {
                let (step, pieces) = body::<CountBackBody>(text)?.read()?;
                (step, Task::CountBack(pieces))
            }
            "cancelled" => (body::<PassBody>(text)?.read()?, Task::Cancel),
            "lost" => {
                let (step, reason) = body::<LostBody>(text)?.read()?;
                (step, Task::Lose(reason))
            }
            other => {
                let detail = format!(
                    "`{other}` is no step: write release, weighings, mixed, divided, baked, \
                     packed, sent, cancelled, lost or count-back"
                );
                let pointer = "/step".to_owned();
                return Err(vec![Fault { pointer, kind: "unknown-code", detail }]);
            }
        };
        Ok(TaskRow { load: load.clone(), step, task })
    }
}

/// What became of the rows, in their order.
#[derive(Debug, Serialize, ToSchema)]
pub struct LoadSheetView {
    /// One outcome for each row.
    pub outcomes: Vec<LoadSheetOutcomeView>,
}

/// What became of one row.
#[derive(Debug, Serialize, ToSchema)]
pub struct LoadSheetOutcomeView {
    /// The load as it was written.
    #[schema(example = "2026-06-12:bun:1")]
    pub load: String,
    /// The step as it was written.
    #[schema(example = "weighings")]
    pub step: String,
    /// The HTTP status that the step alone would have been answered with.
    #[schema(example = 200)]
    pub status: u16,
    /// UUID of the load; null if the row was refused.
    pub id: Option<String>,
    /// How far the load is after it; null if the row was refused.
    #[schema(example = "weighed")]
    pub state: Option<&'static str>,
    /// What a person should know of what was posted.
    pub notes: Vec<String>,
    /// Why the row was refused; null if it was not.
    pub problem: Option<ProblemView>,
}

impl LoadSheetOutcomeView {
    /// The outcome of a row.
    #[must_use]
    pub fn new(row: &LoadSheetRowBody, outcome: Result<LoadHistory, Refusal>) -> Self {
        let (load, step) = (row.load.clone(), row.step.clone());
        match outcome {
            Ok(history) => {
                let last = history.events.last();
                let notes = last.and_then(|event| event.body["posted"]["notes"].as_array());
                let notes = notes.into_iter().flatten().filter_map(|note| note.as_str());
                Self {
                    load,
                    step,
                    status: 200,
                    id: Some(history.load.id.clone()),
                    state: Some(history.load.state.word()),
                    notes: notes.map(str::to_owned).collect(),
                    problem: None,
                }
            }
            Err(refusal) => {
                let problem = Problem::from(refusal).view();
                let status = problem.status;
                let (id, state, notes) = (None, None, Vec::new());
                Self { load, step, status, id, state, notes, problem: Some(problem) }
            }
        }
    }
}
