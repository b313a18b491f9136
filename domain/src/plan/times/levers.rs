//! What a person may do about something that a station has no place for.

use super::{Clock, Spot, stations::Floor};
use crate::{
    plan::{Batch, Plan, PlanError, near_miss::over_one_less},
    ratio::{Overflow, Ratio},
    route::Step,
    schedule::{Work, instant, length},
    spans::Spans,
    timetable::{Clash, Run, Task},
};
use jiff::Timestamp;

/// One way out of a clash, with what it costs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClashLever {
    /// Another mixer takes the dough in time.
    OtherMixer {
        /// Position of the mixer.
        mixer: u32,
        /// When the batch would start.
        start: Timestamp,
    },
    /// Make it before its time.
    Earlier {
        /// When it would start.
        start: Timestamp,
        /// How much sooner than allowed.
        minutes: i64,
        /// Minutes of its hands-on steps outside their teams' hours; none if no team is
        /// named.
        unstaffed_minutes: Option<i64>,
    },
    /// Make it late.
    Later {
        /// When it would start.
        start: Timestamp,
        /// How much later than allowed.
        minutes: i64,
    },
    /// Cut overs, so that it goes in fewer loads, which have a place.
    CutOvers {
        /// Dough to leave out, in micrograms, rounded up.
        micrograms: i64,
        /// Loads that are left.
        loads: i64,
    },
}

/// A batch that its mixer has no place for.
pub(super) struct MixerRun<'a> {
    pub(super) batch: &'a Batch,
    pub(super) mixer: u32,
    pub(super) run: &'a Run,
    pub(super) clash: Clash,
}

/// Ways out for a batch.
pub(super) fn of_mixer(
    clock: &Clock<'_>,
    plan: &Plan,
    floor: &Floor<'_>,
    asked: &MixerRun<'_>,
) -> Result<Vec<ClashLever>, PlanError> {
    let mut levers = other_mixers(clock, floor, asked)?;
    levers.extend(earlier_or_later(asked.run, asked.clash, None)?);
    if let Some(lever) = cut_overs(clock, plan, floor, asked).unwrap_or(None) {
        levers.push(lever);
    }
    Ok(levers)
}

/// Other mixers that take the dough's class and one load, and when.
fn other_mixers(
    clock: &Clock<'_>,
    floor: &Floor<'_>,
    asked: &MixerRun<'_>,
) -> Result<Vec<ClashLever>, PlanError> {
    let recipes = clock.bakery.recipes(asked.batch.service_date);
    let formula = clock.bakery.formula_of(&recipes.recipes[asked.batch.recipe as usize]);
    let class = formula.dough_class.as_deref().unwrap_or_default();
    let loads = asked.batch.split.groups.iter().map(|group| group.mass);
    let (heaviest, lightest) = (loads.clone().max(), loads.min());
    let mut levers = Vec::new();
    for (position, mixer) in (0_u32..).zip(&clock.bakery.lists().mixers) {
        let fits = mixer.maximum_ug(class).is_some_and(|most| {
            heaviest.is_some_and(|mass| mass <= Ratio::whole(most.into()))
                && lightest.is_some_and(|mass| mass >= Ratio::whole(mixer.minimum_ug.into()))
        });
        let (Some(station), Some(table)) = (floor.station(Spot::Mixer(position)), floor.table())
        else {
            continue;
        };
        if !fits || position == asked.mixer {
            continue;
        }
        let elsewhere = |task: &Task| Task { station, ..task.clone() };
        let tasks = asked.run.tasks.iter().map(elsewhere).collect();
        let run = Run { tasks, ..asked.run.clone() };
        let free = table.free(&run).intersect(&run.allowed);
        if let Some(start) = free.nearest(run.preferred) {
            levers.push(ClashLever::OtherMixer { mixer: position, start: instant(start)? });
        }
    }
    Ok(levers)
}

/// The free starts next to those that are allowed.
pub(super) fn earlier_or_later(
    run: &Run,
    clash: Clash,
    unstaffed: Option<&dyn Fn(i64) -> i64>,
) -> Result<Vec<ClashLever>, PlanError> {
    let mut levers = Vec::with_capacity(2);
    let first = run.allowed.earliest().unwrap_or(run.preferred);
    let last = run.allowed.latest().unwrap_or(run.preferred);
    if let Some(earlier) = clash.earlier {
        levers.push(ClashLever::Earlier {
            start: instant(earlier)?,
            minutes: first - earlier,
            unstaffed_minutes: unstaffed.map(|minutes| minutes(earlier)),
        });
    }
    if let Some(later) = clash.later {
        levers.push(ClashLever::Later { start: instant(later)?, minutes: later - last });
    }
    Ok(levers)
}

/// Minutes of hands-on steps that lie outside their teams' hours, from a start on.
pub(super) fn unstaffed(clock: &Clock<'_>, steps: &[Step], work: Work, start: i64) -> i64 {
    let (mut at, mut outside) = (start, 0);
    for step in steps {
        let (minutes, _) = length(&step.length, work);
        if let Some(team) = &step.team {
            // A step of n minutes has n of them: the last is the one before its end.
            let own = Spans::between(at, at + minutes - 1);
            outside += own.len() - own.intersect(clock.hours.of(team)).len();
        }
        at += minutes;
    }
    outside
}

/// Overs to cut so that a batch goes in one load less, if that has a place.
fn cut_overs(
    clock: &Clock<'_>,
    plan: &Plan,
    floor: &Floor<'_>,
    asked: &MixerRun<'_>,
) -> Result<Option<ClashLever>, Overflow> {
    let loads = asked.batch.split.loads - 1;
    let Some(table) = floor.table() else { return Ok(None) };
    let mut run = asked.run.clone();
    run.tasks.pop();
    if loads < 1 || table.free(&run).intersect(&run.allowed).is_empty() {
        return Ok(None);
    }
    let Some((cut, overs)) = over_one_less(clock.bakery, plan, asked.batch)? else {
        return Ok(None);
    };
    let micrograms = i64::try_from(cut.ceil()).map_err(|_| Overflow)?;
    Ok((cut.is_positive() && cut <= overs).then_some(ClashLever::CutOvers { micrograms, loads }))
}
