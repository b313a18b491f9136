//! What was asked of routes before. Routes, teams and the clock of the house decide every
//! answer, so all plans of one bakery ask here first: a plan with one order more asks nearly
//! the same as the plan before it.

use super::{Hours, Pin, ScheduleError, StepTime, Work};
use crate::{
    calendar::OutOfCalendar,
    route::{Length, Route},
    spans::Spans,
};
use jiff::civil::Date;
use std::{
    collections::BTreeMap,
    sync::{Arc, Mutex, MutexGuard, PoisonError},
};

/// Answers of one kind that are kept before all of that kind are forgotten.
const KEPT_MAX: usize = 8_192;

/// First and last date whose hours are known.
pub(crate) type Days = (Date, Date);

/// A question about a route of the bakery, by its position.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Question {
    days: Days,
    route: u32,
    work: Work,
    pins: Vec<Pin>,
}

impl Question {
    /// Two works that take each step as long are one question.
    pub(crate) fn new(days: Days, position: u32, route: &Route, work: Work, pins: &[Pin]) -> Self {
        let any = |like: fn(&Length) -> bool| route.steps.iter().any(|step| like(&step.length));
        let by_load = any(|length| matches!(length, Length::PerLoad { .. }));
        let by_piece = any(|length| matches!(length, Length::PerPiece { .. }));
        let work = Work {
            loads: if by_load { work.loads } else { 1 },
            pieces: if by_piece { work.pieces } else { 1 },
        };
        Self { days, route: position, work, pins: pins.to_vec() }
    }
}

type Answers<Q, A> = BTreeMap<Q, Result<A, ScheduleError>>;

#[derive(Debug, Default)]
struct Kept {
    hours: BTreeMap<Days, Arc<Hours>>,
    times: Answers<Question, Arc<[StepTime]>>,
    starts: Answers<(Question, usize), Spans>,
}

/// Answers about the routes of one bakery.
#[derive(Debug, Default)]
pub(crate) struct Memory(Mutex<Kept>);

impl Memory {
    /// The hours of the teams on some days.
    pub(crate) fn hours(
        &self,
        days: Days,
        find: impl FnOnce() -> Result<Hours, OutOfCalendar>,
    ) -> Result<Arc<Hours>, OutOfCalendar> {
        if let Some(known) = self.kept().hours.get(&days) {
            return Ok(Arc::clone(known));
        }
        let found = Arc::new(find()?);
        keep(&mut self.kept().hours, days, Arc::clone(&found));
        Ok(found)
    }

    /// The times of all steps.
    pub(crate) fn times(
        &self,
        question: Question,
        find: impl FnOnce() -> Result<Vec<StepTime>, ScheduleError>,
    ) -> Result<Arc<[StepTime]>, ScheduleError> {
        if let Some(known) = self.kept().times.get(&question) {
            return known.clone();
        }
        let found = find().map(Arc::from);
        keep(&mut self.kept().times, question, found.clone());
        found
    }

    /// The minutes at which a step may start.
    pub(crate) fn starts(
        &self,
        question: (Question, usize),
        find: impl FnOnce() -> Result<Spans, ScheduleError>,
    ) -> Result<Spans, ScheduleError> {
        if let Some(known) = self.kept().starts.get(&question) {
            return known.clone();
        }
        let found = find();
        keep(&mut self.kept().starts, question, found.clone());
        found
    }

    /// An answer stands alone: one that was not kept, because somebody died, is found again.
    fn kept(&self) -> MutexGuard<'_, Kept> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn keep<Q: Ord, A>(known: &mut BTreeMap<Q, A>, question: Q, answer: A) {
    if known.len() >= KEPT_MAX {
        known.clear();
    }
    known.insert(question, answer);
}
