//! A whole sheet of steps at once, as it is typed in when the morning is over.

use super::{
    Divided, Draft, Freeze, LoadHistory, Mixed, Outcome, Step, WrittenLine, bake, cancel,
    count_back, divide, lose, mix, release, weigh,
};
use crate::{
    document::Fault,
    service::Refusal,
    state::State,
    store::{Tx, attempt, loads as rows},
};
use domain::{bakery::Bakery, id::Code, load::LoadState};

/// What a step does.
#[derive(Debug, Clone)]
pub enum Task {
    /// A draft is fixed; with the plan revision that was looked at.
    Release(Option<i64>),
    /// Its lines leave the stock.
    Weigh(Vec<WrittenLine>),
    /// It becomes dough.
    Mix(Mixed),
    /// It becomes pieces.
    Divide(Divided),
    /// It is baked, packed or sent.
    Bake(LoadState, Outcome),
    /// Its pieces are counted.
    CountBack(Vec<crate::service::product_lots::Pieces>),
    /// It is called off.
    Cancel,
    /// It failed.
    Lose(Code),
}

/// One row of a sheet.
#[derive(Debug, Clone)]
pub struct TaskRow {
    /// The load: its id, or its name such as `2026-06-12:bun:1`.
    pub load: String,
    /// Who and when.
    pub step: Step,
    /// What.
    pub task: Task,
}

/// Does one row.
///
/// # Errors
/// As the step of its task alone.
pub fn act(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    row: &TaskRow,
    freeze: Freeze,
) -> Result<LoadHistory, Refusal> {
    let TaskRow { load, step, task } = row;
    if let Task::Release(seen) = task {
        return release(state, tx, load, (step, *seen), freeze);
    }
    let id = id_of(state, tx, load)?;
    let of = (id.as_str(), step);
    match task {
        Task::Release(_) | Task::Cancel => cancel(state, tx, bakery, of),
        Task::Weigh(lines) => weigh(state, tx, bakery, of, lines),
        Task::Mix(mixed) => mix(state, tx, bakery, of, mixed),
        Task::Divide(divided) => divide(state, tx, bakery, of, divided),
        Task::Bake(to, outcome) => bake(state, tx, bakery, (&id, *to, step), outcome),
        Task::CountBack(pieces) => count_back(state, tx, bakery, of, pieces),
        Task::Lose(reason) => lose(state, tx, bakery, of, reason),
    }
}

/// The id of a load by its id or name.
fn id_of(state: &State, tx: &mut Tx, load: &str) -> Result<String, Refusal> {
    let Some(draft) = Draft::parse(load) else { return Ok(load.to_owned()) };
    let date = draft.service_date.to_string();
    let numbered = (date.as_str(), draft.formula.as_str(), draft.number);
    let found = rows::find_numbered(tx, &state.site, numbered)?;
    match found {
        Some(row) => Ok(row.id),
        None => {
            let detail = format!("load {load} is a draft: release it before it is worked on");
            Err(Refusal::stated("load-step", detail))
        }
    }
}

/// A row that was read, or what is wrong with it.
pub type Typed = Result<TaskRow, Vec<Fault>>;

/// Does the rows in order; each has its own outcome, and what one does not do leaves no trace.
///
/// # Errors
/// Only [`Refusal::Store`]: the rows' own refusals are their outcomes.
pub fn act_each(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    typed: &[Typed],
    freeze: Freeze,
) -> Result<Vec<Result<LoadHistory, Refusal>>, Refusal> {
    let mut outcomes = Vec::with_capacity(typed.len());
    for row in typed {
        let outcome = match row {
            Err(faults) => Err(Refusal::Body(faults.clone())),
            Ok(row) => attempt(tx, |tx| act(state, tx, bakery, row, freeze))?,
        };
        match outcome {
            Err(refusal @ Refusal::Store(_)) => return Err(refusal),
            outcome => outcomes.push(outcome),
        }
    }
    Ok(outcomes)
}

/// Does all rows, or none: every fault of every row is named under its place.
///
/// After a row that cannot be, later rows of the same load say nothing of their own.
///
/// # Errors
/// [`Refusal::Body`]; [`Refusal::Store`].
pub fn act_all(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    typed: &[Typed],
    freeze: Freeze,
) -> Result<Vec<LoadHistory>, Refusal> {
    let mut faults = Vec::new();
    let mut done = Vec::with_capacity(typed.len());
    let mut stopped: Vec<&str> = Vec::new();
    for (at, row) in typed.iter().enumerate() {
        let outcome = match row {
            Err(found) => Err(Refusal::Body(found.clone())),
            Ok(row) if stopped.contains(&row.load.as_str()) => continue,
            Ok(row) => attempt(tx, |tx| act(state, tx, bakery, row, freeze))?,
        };
        let refusal = match outcome {
            Ok(history) => {
                done.push(history);
                continue;
            }
            Err(refusal) => refusal,
        };
        stopped.extend(row.as_ref().ok().map(|row| row.load.as_str()));
        match refusal {
            Refusal::Store(_) => return Err(refusal),
            Refusal::Body(found) => faults.extend(found.into_iter().map(|fault| Fault {
                pointer: format!("/rows/{at}/body{}", fault.pointer),
                ..fault
            })),
            other => {
                let kind = match &other {
                    Refusal::Stated { slug, .. } => slug,
                    _ => "unknown-code",
                };
                let pointer = format!("/rows/{at}/load");
                faults.push(Fault { pointer, kind, detail: other.to_string() });
            }
        }
    }
    if faults.is_empty() { Ok(done) } else { Err(Refusal::Body(faults)) }
}
