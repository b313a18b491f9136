//! What was asked of a route before in the same plan: the parts of a drop that no oven takes
//! at once mostly ask the same.

use crate::{
    id::Code,
    route::Route,
    schedule::{Hours, Pin, ScheduleError, StepTime, Work, schedule_with, starts},
    spans::Spans,
};
use std::{cell::RefCell, collections::BTreeMap, rc::Rc};

/// A question: what is sent through a route, what is settled of it, and the route.
type Question = (Work, Vec<Pin>, Code);

/// Answers by question.
#[derive(Default)]
pub(super) struct Answered {
    times: RefCell<BTreeMap<Question, Rc<Vec<StepTime>>>>,
    starts: RefCell<BTreeMap<(Question, usize), Spans>>,
}

impl Answered {
    /// The latest times of all steps, see [`schedule_with`]; what has none is asked anew.
    pub(super) fn times(
        &self,
        hours: &Hours,
        route: &Route,
        work: Work,
        pins: &[Pin],
    ) -> Result<Rc<Vec<StepTime>>, ScheduleError> {
        let question = (work, pins.to_vec(), route.code.clone());
        if let Some(found) = self.times.borrow().get(&question) {
            return Ok(Rc::clone(found));
        }
        let found = Rc::new(schedule_with(hours, route, work, pins)?);
        self.times.borrow_mut().insert(question, Rc::clone(&found));
        Ok(found)
    }

    /// The minutes at which a step may start, see [`starts`]; what has none is asked anew.
    pub(super) fn starts(
        &self,
        hours: &Hours,
        route: &Route,
        work: Work,
        step: usize,
        pins: &[Pin],
    ) -> Result<Spans, ScheduleError> {
        let question = ((work, pins.to_vec(), route.code.clone()), step);
        if let Some(found) = self.starts.borrow().get(&question) {
            return Ok(found.clone());
        }
        let found = starts(hours, route, work, step, pins)?;
        self.starts.borrow_mut().insert(question, found.clone());
        Ok(found)
    }
}
