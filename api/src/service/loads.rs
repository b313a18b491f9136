//! Loads: released by a person, then only going forwards. What was released never moves.

mod body;
mod pieces;
mod release;
mod steps;
mod tasks;
pub(in crate::service) mod used;
mod weigh;

pub use body::{DrawBody, LineBody, LoadBody, LotBody, fraction};
pub use pieces::{Outcome, bake, count_back, lose};
pub use release::{Draft, Freeze, find_draft, release};
pub use steps::{Divided, Mixed, cancel, divide, mix};
pub use tasks::{Task, TaskRow, Typed, act_all, act_each};
pub use used::UsedLot;
pub use weigh::{WrittenLine, weigh};

use super::{
    Refusal,
    book::{code, date},
};
use crate::{
    digest,
    store::{
        StoreError, Tx, instant, load_events,
        load_events::LoadEventRow,
        loads::{self as rows, LoadRow},
    },
};
use domain::{
    load::{HeldLoad, LoadState},
    ratio::Ratio,
};
use jiff::{Timestamp, civil::Date};
use serde_json::Value;

/// A load as it is held.
#[derive(Debug, Clone)]
pub struct Load {
    /// UUID of version 7.
    pub id: String,
    /// Code of the formula.
    pub formula: String,
    /// For which service date.
    pub service_date: Date,
    /// Its number among the loads of the formula and date.
    pub number: i64,
    /// How far it is.
    pub state: LoadState,
    /// The start of its first step.
    pub starts_at: Timestamp,
    /// Who set its state.
    pub who: String,
    /// When that happened.
    pub happened_at: Timestamp,
    /// What was released.
    pub body: LoadBody,
    /// Id of the lot that it became.
    pub lot: Option<String>,
}

impl Load {
    /// What it weighs in the bowl, in micrograms.
    #[must_use]
    pub fn mass(&self) -> Ratio {
        body::ratio(&self.body.mass).unwrap_or(Ratio::ZERO)
    }
}

/// One step of a load's life.
#[derive(Debug, Clone)]
pub struct LoadEvent {
    /// `released`, `weighed`, …, or `count-back`.
    pub step: String,
    /// Who did it.
    pub who: String,
    /// When it happened.
    pub happened_at: Timestamp,
    /// When it was written down.
    pub recorded_at: Timestamp,
    /// What was written down, and under `posted` what it did to the stock.
    pub body: Value,
    /// A remark.
    pub note: Option<String>,
    /// The plan revision that it made.
    pub plan_revision: i64,
}

/// A load with all that happened to it.
#[derive(Debug, Clone)]
pub struct LoadHistory {
    /// The load.
    pub load: Load,
    /// Its steps, oldest first.
    pub events: Vec<LoadEvent>,
    /// Names the state in which it is.
    pub etag: String,
}

/// Who did a step, and when.
#[derive(Debug, Clone)]
pub struct Step {
    /// Who did it.
    pub who: String,
    /// When; now if not said.
    pub happened_at: Option<Timestamp>,
    /// A remark.
    pub note: Option<String>,
    /// The whole request, to know it again.
    pub sent: Value,
}

impl Load {
    /// When it goes into its mixer, if its formula says how long it mixes.
    #[must_use]
    pub fn mixes_at(&self) -> Option<Timestamp> {
        let (start, _) = self.body.mixes.as_ref()?;
        start.parse().ok()
    }
}

/// Loads of service dates from a date on, by date, formula and number.
///
/// # Errors
/// [`StoreError`]
pub fn list_from(tx: &mut Tx, site: &str, from: Date) -> Result<Vec<Load>, StoreError> {
    rows::list_from(tx, site, &from.to_string())?.into_iter().map(load).collect()
}

/// Loads that start between two instants, the second excluded, by their start.
///
/// # Errors
/// [`StoreError`]
pub fn list_between(
    tx: &mut Tx,
    site: &str,
    (from, to): (Timestamp, Timestamp),
) -> Result<Vec<Load>, StoreError> {
    let (from, to) = (instant::text(from), instant::text(to));
    rows::list_between(tx, site, &from, &to)?.into_iter().map(load).collect()
}

/// A load by its id, with its history.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn find(tx: &mut Tx, site: &str, id: &str) -> Result<LoadHistory, Refusal> {
    let row = row(tx, site, id)?;
    let events: Vec<LoadEvent> = load_events::list(tx, site, id)?
        .into_iter()
        .map(event)
        .collect::<Result<_, StoreError>>()?;
    let last = events.last().map(|event| event.plan_revision).unwrap_or_default();
    let etag = digest::etag(&format!("{id} {} {} {last}", row.state, events.len()));
    Ok(LoadHistory { load: load(row)?, events, etag })
}

fn row(tx: &mut Tx, site: &str, id: &str) -> Result<LoadRow, Refusal> {
    let found = rows::find(tx, site, id)?;
    found.ok_or_else(|| Refusal::Unknown { noun: "load", code: id.to_owned() })
}

fn load(row: LoadRow) -> Result<Load, StoreError> {
    let LoadRow {
        site: _,
        id,
        formula,
        service_date,
        number,
        state,
        starts_at,
        who,
        happened_at,
        body,
        lot,
    } = row;
    Ok(Load {
        id,
        formula,
        service_date: date(&service_date)?,
        number,
        state: LoadState::parse(&state).ok_or(StoreError::Corrupt("load state"))?,
        starts_at: instant::read(&starts_at)?,
        who,
        happened_at: instant::read(&happened_at)?,
        body: serde_json::from_str(&body).map_err(|_| StoreError::Corrupt("load"))?,
        lot,
    })
}

fn event(row: LoadEventRow) -> Result<LoadEvent, StoreError> {
    let LoadEventRow {
        site: _,
        id: _,
        load_id: _,
        step,
        who,
        happened_at,
        recorded_at,
        body,
        note,
        plan_revision,
    } = row;
    Ok(LoadEvent {
        step,
        who,
        happened_at: instant::read(&happened_at)?,
        recorded_at: instant::read(&recorded_at)?,
        body: serde_json::from_str(&body).map_err(|_| StoreError::Corrupt("load event"))?,
        note,
        plan_revision,
    })
}

/// A load as a plan needs it.
///
/// # Errors
/// [`StoreError::Corrupt`]
pub fn held(load: &Load) -> Result<HeldLoad, StoreError> {
    let LoadBody { mix, mixer, mixes, mass, residue, steps, lines, draws, pieces, .. } = &load.body;
    let mixes = mixes.as_ref().map(|(start, end)| -> Result<_, StoreError> {
        Ok((instant::read(start)?, instant::read(end)?))
    });
    Ok(HeldLoad {
        formula: code(&load.formula)?,
        service_date: load.service_date,
        number: load.number,
        mix: *mix,
        state: load.state,
        starts_at: load.starts_at,
        mixes: mixes.transpose()?,
        mixer: mixer.as_deref().map(code).transpose()?,
        mass: body::ratio(mass)?,
        residue: body::ratio(residue)?,
        steps: *steps,
        lines: lines.iter().map(LineBody::held).collect::<Result<_, _>>()?,
        draws: draws.iter().map(DrawBody::held).collect::<Result<_, _>>()?,
        pieces: pieces
            .iter()
            .map(|(product, pieces)| Ok((code(product)?, *pieces)))
            .collect::<Result<_, StoreError>>()?,
    })
}
