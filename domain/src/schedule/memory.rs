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
/// The same of hours, which are longer and of which a day asks for few.
const HOURS_MAX: usize = 64;

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

#[derive(Debug, Default)]
struct Kept {
    hours: BTreeMap<Days, Result<Arc<Hours>, OutOfCalendar>>,
    times: BTreeMap<Question, Result<Arc<[StepTime]>, ScheduleError>>,
    starts: BTreeMap<(Question, usize), Result<Spans, ScheduleError>>,
}

/// Where answers of one kind stand.
type Part<Q, A> = fn(&mut Kept) -> &mut BTreeMap<Q, A>;

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
        self.known_or((|kept| &mut kept.hours, HOURS_MAX), days, || find().map(Arc::new))
    }

    /// The times of all steps.
    pub(crate) fn times(
        &self,
        question: Question,
        find: impl FnOnce() -> Result<Vec<StepTime>, ScheduleError>,
    ) -> Result<Arc<[StepTime]>, ScheduleError> {
        self.known_or((|kept| &mut kept.times, KEPT_MAX), question, || find().map(Arc::from))
    }

    /// The minutes at which a step may start.
    pub(crate) fn starts(
        &self,
        question: (Question, usize),
        find: impl FnOnce() -> Result<Spans, ScheduleError>,
    ) -> Result<Spans, ScheduleError> {
        self.known_or((|kept| &mut kept.starts, KEPT_MAX), question, find)
    }

    /// An answer that is known among those of its kind, or is found now, with nothing locked.
    fn known_or<Q: Ord, A: Clone>(
        &self,
        (of, most): (Part<Q, A>, usize),
        question: Q,
        find: impl FnOnce() -> A,
    ) -> A {
        if let Some(known) = of(&mut self.kept()).get(&question) {
            return known.clone();
        }
        let found = find();
        keep(of(&mut self.kept()), most, question, found.clone());
        found
    }

    /// An answer stands alone: one that was not kept, because somebody died, is found again.
    fn kept(&self) -> MutexGuard<'_, Kept> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn keep<Q: Ord, A>(known: &mut BTreeMap<Q, A>, most: usize, question: Q, answer: A) {
    if known.len() >= most {
        known.clear();
    }
    known.insert(question, answer);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{id::Code, route::Step};
    use jiff::civil::date;

    fn route(lengths: &[Length]) -> Route {
        let step = |length: &Length| Step {
            name: "step".to_owned(),
            length: length.clone(),
            team: None,
            start_team: None,
            station: None,
        };
        let steps = lengths.iter().map(step).collect();
        let code = Code::parse("route").expect("a code");
        Route { code, steps, limits: Vec::new(), ages: Vec::new() }
    }

    #[test]
    fn only_what_a_step_counts_makes_another_question() {
        let days = (date(2026, 6, 10), date(2026, 6, 12));
        let ask = |route: &Route, loads, pieces| {
            Question::new(days, 0, route, Work { loads, pieces }, &[Pin::at(1, 600)])
        };
        let fixed = route(&[Length::Fixed { minutes: 5 }]);
        assert_eq!(ask(&fixed, 1, 10), ask(&fixed, 3, 99));
        let by_load = route(&[Length::PerLoad { minutes: 5, between_minutes: 1 }]);
        assert_eq!(ask(&by_load, 2, 10), ask(&by_load, 2, 99));
        assert_ne!(ask(&by_load, 2, 10), ask(&by_load, 3, 10));
        let by_piece = route(&[Length::PerPiece { seconds: 30 }]);
        assert_eq!(ask(&by_piece, 1, 10), ask(&by_piece, 3, 10));
        assert_ne!(ask(&by_piece, 1, 10), ask(&by_piece, 1, 11));
    }

    #[test]
    fn an_answer_is_found_once_and_kept_in_bounds() {
        let mut known = BTreeMap::new();
        for question in 0..10 {
            keep(&mut known, 4, question, ());
            assert!(known.len() <= 4);
        }
        assert_eq!(known.into_keys().collect::<Vec<_>>(), [8, 9]);
        let memory = Memory::default();
        let days = (date(2026, 6, 10), date(2026, 6, 12));
        let fixed = route(&[Length::Fixed { minutes: 5 }]);
        let question = || Question::new(days, 0, &fixed, Work { loads: 1, pieces: 1 }, &[]);
        let first = memory.starts((question(), 0), || Ok(Spans::minute(7)));
        let again = memory.starts((question(), 0), || Ok(Spans::EMPTY));
        assert_eq!((first.clone(), again), (first, Ok(Spans::minute(7))));
    }
}
