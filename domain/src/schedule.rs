//! Back from a drop to the start of every step.
//!
//! The search runs backwards in elapsed minutes, so a night with a clock change
//! has its true length. Slack falls into windows: each takes its shortest length
//! that lets all attended steps before it lie in staffed hours.

use crate::{
    calendar::{OutOfCalendar, add_minutes},
    id::Code,
    route::{Length, Route, Step, Team},
};
use jiff::{Timestamp, civil::Time, tz::TimeZone};

/// When one step runs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepTime {
    /// Its position in the route.
    pub step: usize,
    /// When it starts.
    pub start: Timestamp,
    /// When it ends.
    pub end: Timestamp,
}

/// Why a route does not fit before its drop.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ScheduleError {
    /// No length of the windows puts this step into staffed hours.
    #[error("step `{step}` of route `{route}` fits no staffed hours before the drop")]
    NoFit {
        /// The route.
        route: Code,
        /// The step that never fitted.
        step: String,
    },
    /// Beyond all calendars.
    #[error(transparent)]
    OutOfCalendar(#[from] OutOfCalendar),
}

/// What a schedule needs to know of the house.
#[derive(Debug, Clone, Copy)]
pub struct House<'a> {
    /// Its clock.
    pub zone: &'a TimeZone,
    /// Who is there when.
    pub teams: &'a [Team],
}

/// The times of all steps of a route that ends at `drop`, first step first.
///
/// # Errors
/// [`ScheduleError`]
pub fn schedule(
    house: House<'_>,
    route: &Route,
    (loads, pieces): (i64, i64),
    drop: Timestamp,
) -> Result<Vec<StepTime>, ScheduleError> {
    let mut search = Search {
        house,
        route,
        loads: loads.max(1),
        pieces,
        placed: Vec::with_capacity(route.steps.len()),
        earliest_failed: route.steps.len(),
    };
    if search.place(route.steps.len(), drop)? {
        search.placed.reverse();
        return Ok(search.placed);
    }
    let failed = search.earliest_failed.min(route.steps.len().saturating_sub(1));
    let step = route.steps.get(failed).map_or_else(String::new, |step| step.name.clone());
    Err(ScheduleError::NoFit { route: route.code.clone(), step })
}

struct Search<'a> {
    house: House<'a>,
    route: &'a Route,
    loads: i64,
    pieces: i64,
    /// Steps placed so far, last step first.
    placed: Vec<StepTime>,
    /// The first step of the route that was tried and did not fit.
    earliest_failed: usize,
}

impl Search<'_> {
    /// Places the first `count` steps so that they end at `end`.
    fn place(&mut self, count: usize, end: Timestamp) -> Result<bool, OutOfCalendar> {
        let Some(position) = count.checked_sub(1) else { return Ok(true) };
        let step = &self.route.steps[position];
        let (least, most) = match step.length {
            Length::Fixed { minutes } => (minutes, minutes),
            Length::PerLoad { minutes, between_minutes } => {
                let minutes = minutes * self.loads + between_minutes * (self.loads - 1);
                (minutes, minutes)
            }
            Length::PerPiece { seconds } => {
                let minutes = (seconds.saturating_mul(self.pieces).saturating_add(59)) / 60;
                (minutes, minutes)
            }
            Length::Window { least_minutes, most_minutes } => {
                (least_minutes, most_minutes.min(self.limit(position)))
            }
        };
        for minutes in least..=most {
            let start = add_minutes(end, -minutes)?;
            if !self.staffed(step, start, end) {
                self.earliest_failed = self.earliest_failed.min(position);
                continue;
            }
            self.placed.push(StepTime { step: position, start, end });
            if self.place(position, start)? {
                return Ok(true);
            }
            self.placed.pop();
        }
        Ok(false)
    }

    /// What bounds over several windows leave for this one.
    fn limit(&self, position: usize) -> i64 {
        let name = &self.route.steps[position].name;
        let limits = self.route.limits.iter().filter(|limit| limit.steps.contains(name));
        limits
            .map(|limit| {
                let used: i64 = self
                    .placed
                    .iter()
                    .filter(|placed| limit.steps.contains(&self.route.steps[placed.step].name))
                    .map(|placed| (placed.end.as_second() - placed.start.as_second()) / 60)
                    .sum();
                limit.most_minutes - used
            })
            .min()
            .unwrap_or(i64::MAX)
    }

    /// Whether those who must be there are: all the time, or when it starts.
    fn staffed(&self, step: &Step, start: Timestamp, end: Timestamp) -> bool {
        let local = |at: Timestamp| self.house.zone.to_datetime(at);
        let hours = |code: &Code| self.house.teams.iter().find(|team| team.code == *code);
        if let Some(team) = step.start_team.as_ref().and_then(hours)
            && !within(team, local(start).time())
        {
            return false;
        }
        match step.team.as_ref().and_then(hours) {
            None => true,
            Some(team) => {
                let (start, end) = (local(start), local(end));
                start.date() == end.date() && within(team, start.time()) && within(team, end.time())
            }
        }
    }
}

/// Opening and closing minute are both inside.
fn within(team: &Team, time: Time) -> bool {
    team.from <= time && time <= team.to
}
