//! Back from a drop to the start of every step.
//!
//! Times are whole minutes of elapsed time, so a night with a clock change has its
//! true length. Slack falls into windows: each takes its shortest length that lets
//! everything before it fit, from the back. Because every rule bounds how far two
//! moments lie apart, or when one may be, the later of two answers, moment by moment,
//! is an answer too: there is one latest answer, and it is the one wanted.

mod chain;
mod memory;

pub(crate) use memory::{Days, Memory, Question};

use crate::{
    calendar::{self, OutOfCalendar, add_days},
    id::Code,
    route::{Length, Route, Team},
    spans::Spans,
};
use chain::Chain;
use jiff::{Timestamp, civil::Date, tz::TimeZone};

/// Longer than the stay of anything between two events: ten days, in minutes.
const ANY_MINUTES: i64 = 10 * 24 * 60;

/// When one step runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StepTime {
    /// Its position in the route.
    pub step: usize,
    /// When it starts.
    pub start: Timestamp,
    /// When it ends.
    pub end: Timestamp,
}

/// What keeps a step out of all its times.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hindrance {
    /// Its people, or those of a step behind it, are not there.
    Staff,
    /// It would fit if a window or an age between two events could be longer or shorter.
    AgeWindow,
}

/// Why a route has no times.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ScheduleError {
    /// No length of the windows lets this step in.
    #[error("step `{step}` of route `{route}` fits no staffed hours before the drop")]
    NoFit {
        /// The route.
        route: Code,
        /// The last step that never fitted.
        step: String,
        /// Fewest minutes by which it would have to move, or its age bound to give;
        /// none if its people are never there.
        minutes: Option<i64>,
        /// What keeps it out.
        by: Hindrance,
    },
    /// Bounds over windows so wide that their minutes cannot all be tried.
    #[error(
        "route `{route}` has too many bounds over windows of many days: give it narrower windows"
    )]
    TooManyChoices {
        /// The route.
        route: Code,
    },
    /// Beyond all calendars.
    #[error(transparent)]
    OutOfCalendar(#[from] OutOfCalendar),
}

/// What is sent through a route.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Work {
    /// Loads of the dough.
    pub loads: i64,
    /// Pieces of the product.
    pub pieces: i64,
}

/// The minutes in which each team is in the house.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Hours {
    teams: Vec<(Code, Spans)>,
    nobody: Spans,
}

impl Hours {
    /// The hours of teams from a day before one local date to a day after another.
    ///
    /// Opening and closing minute are both inside. A team that stops no later than it
    /// starts stays over midnight. Outside these dates nobody is there.
    ///
    /// # Errors
    /// [`OutOfCalendar`]
    pub fn new(
        zone: &TimeZone,
        teams: &[Team],
        first: Date,
        last: Date,
    ) -> Result<Self, OutOfCalendar> {
        let mut hours = Self { teams: Vec::with_capacity(teams.len()), nobody: Spans::EMPTY };
        let (first, last) = (add_days(first, -1)?, add_days(last, 1)?);
        for team in teams {
            let mut spans = Vec::new();
            let mut date = first;
            while date <= last {
                let next = add_days(date, 1)?;
                let stops = if team.to <= team.from { next } else { date };
                let from = minute(calendar::instant(zone, date, team.from)?);
                spans.push((from, minute(calendar::instant(zone, stops, team.to)?)));
                date = next;
            }
            hours.teams.push((team.code.clone(), Spans::of(spans)));
        }
        Ok(hours)
    }

    /// The minutes of a team; none for one that is not known.
    #[must_use]
    pub fn of(&self, team: &Code) -> &Spans {
        self.teams.iter().find(|(code, _)| code == team).map_or(&self.nobody, |(_, spans)| spans)
    }

    fn mirrored(&self) -> Self {
        let teams = self.teams.iter().map(|(code, spans)| (code.clone(), spans.mirrored()));
        Self { teams: teams.collect(), nobody: Spans::EMPTY }
    }
}

/// A moment of a route that is settled: the start of a step, or the drop after all steps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Pin {
    /// Position of the step; the number of steps stands for the drop.
    pub moment: usize,
    /// First minute at which it may be.
    pub first: i64,
    /// Last minute at which it may be.
    pub last: i64,
}

impl Pin {
    /// A moment at one minute.
    #[must_use]
    pub const fn at(moment: usize, minute: i64) -> Self {
        Self { moment, first: minute, last: minute }
    }

    /// The drop after all steps of a route.
    #[must_use]
    pub fn drop(route: &Route, drop: Timestamp) -> Self {
        Self::at(route.steps.len(), minute(drop))
    }
}

/// The number of a minute on the line of instants.
#[must_use]
pub fn minute(at: Timestamp) -> i64 {
    at.as_second().div_euclid(60)
}

/// The instant at which a minute starts.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn instant(minute: i64) -> Result<Timestamp, OutOfCalendar> {
    let seconds = minute.checked_mul(60).ok_or(OutOfCalendar)?;
    Timestamp::from_second(seconds).map_err(|_| OutOfCalendar)
}

/// Least and most minutes of a step.
#[must_use]
pub fn length(length: &Length, work: Work) -> (i64, i64) {
    length.minutes(work.loads, work.pieces)
}

/// The latest times of all steps, first step first, with some moments settled, the drop among
/// them.
///
/// # Errors
/// [`ScheduleError`]
pub fn schedule_with(
    hours: &Hours,
    route: &Route,
    work: Work,
    pins: &[Pin],
) -> Result<Vec<StepTime>, ScheduleError> {
    let chain = Chain::new(hours, route, work, false);
    let moments = chain.variants().filter_map(|chain| chain.latest(pins));
    // Compared from the back: the later last moment first.
    let moments = moments.max_by(|a, b| a.iter().rev().cmp(b.iter().rev()));
    let Some(moments) = moments else {
        return Err(no_fit(hours, &chain, (route, work), pins));
    };
    let times = moments.windows(2).enumerate().map(|(step, moment)| {
        Ok(StepTime { step, start: instant(moment[0])?, end: instant(moment[1])? })
    });
    times.collect()
}

/// All minutes at which a step may start, with some moments settled, the drop among them.
///
/// # Errors
/// [`ScheduleError`]; [`ScheduleError::NoFit`] if there is none.
pub fn starts(
    hours: &Hours,
    route: &Route,
    work: Work,
    step: usize,
    pins: &[Pin],
) -> Result<Spans, ScheduleError> {
    let chain = Chain::new(hours, route, work, false);
    let mut all = Spans::EMPTY;
    for chain in chain.variants() {
        let Some(found) = chain.starts(step, pins) else {
            return Err(ScheduleError::TooManyChoices { route: route.code.clone() });
        };
        all = if all.is_empty() { found } else { all.union(&found) };
    }
    if all.is_empty() { Err(no_fit(hours, &chain, (route, work), pins)) } else { Ok(all) }
}

/// The earliest drop, not before `drop`, of a route that starts at `now` or later.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn earliest_drop(
    hours: &Hours,
    route: &Route,
    work: Work,
    drop: Timestamp,
    now: Timestamp,
) -> Result<Option<Timestamp>, OutOfCalendar> {
    // With time running backwards the earliest answer is the latest.
    let mirrored = hours.mirrored();
    let steps = route.steps.len();
    let pins = [
        Pin { moment: 0, first: chain::FAR_BACK, last: -minute(drop) },
        Pin { moment: steps, first: chain::FAR_BACK, last: -minute(now) },
    ];
    let chain = Chain::new(&mirrored, route, work, true);
    let latest = chain.variants().filter_map(|chain| chain.latest(&pins)).map(|all| all[0]).max();
    latest.map(|minute| instant(-minute)).transpose()
}

fn no_fit(
    hours: &Hours,
    chain: &Chain<'_>,
    (route, work): (&Route, Work),
    pins: &[Pin],
) -> ScheduleError {
    let (step, minutes) = chain.misfit(pins);
    let wide = Chain::new(hours, &without_windows(route), work, false).latest(pins).is_some();
    let by = if wide { Hindrance::AgeWindow } else { Hindrance::Staff };
    let step = route.steps.get(step).map_or_else(String::new, |step| step.name.clone());
    ScheduleError::NoFit { route: route.code.clone(), step, minutes, by }
}

/// A route whose windows take any time and whose ages bind nothing.
fn without_windows(route: &Route) -> Route {
    let mut wide = Route { limits: Vec::new(), ages: Vec::new(), ..route.clone() };
    for step in &mut wide.steps {
        if let Length::Window { least_minutes, most_minutes } = &mut step.length {
            (*least_minutes, *most_minutes) = (0, ANY_MINUTES);
        }
    }
    wide
}

#[cfg(test)]
mod tests;
