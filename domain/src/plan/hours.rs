//! When a load is in its mixer and what comes after, as far as anybody knows.

use super::{Batch, Plan, Run, Spot};
use crate::bakery::Bakery;
use jiff::Timestamp;

/// A step with its name and times.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepHours {
    /// Its name in the route.
    pub step: String,
    /// When it starts.
    pub start: Timestamp,
    /// When it ends.
    pub end: Timestamp,
}

/// When one load is in its mixer, and what comes after.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoadHours {
    /// When it starts.
    pub start: Timestamp,
    /// When it leaves the mixer; none if nobody said how long it takes.
    pub end: Option<Timestamp>,
    /// The step after it, once all loads are mixed.
    pub next: Option<StepHours>,
}

/// When a load of a batch is mixed; loads count from 1.
///
/// Without minutes on file only the first load has a time: the batch's own.
pub(super) fn load_hours(
    bakery: &Bakery,
    plan: &Plan,
    batch: &Batch,
    load: i64,
) -> Option<LoadHours> {
    let timed = batch.load_times.iter().find(|time| i64::from(time.load) == load);
    let (start, end) = match timed {
        Some(time) => (time.start, Some(time.end)),
        None => (batch.made_at.filter(|_| load == 1)?, None),
    };
    let runs = runs_of(bakery, plan, batch);
    let next = runs.filter_map(|run| after_mix(bakery, run)).min_by_key(|next| next.start);
    Some(LoadHours { start, end, next })
}

/// Runs of the pieces that are divided from a batch.
pub(super) fn runs_of<'a>(
    bakery: &'a Bakery,
    plan: &'a Plan,
    batch: &'a Batch,
) -> impl Iterator<Item = &'a Run> {
    let recipes = bakery.recipes(batch.service_date);
    plan.runs.iter().filter(move |run| {
        (run.service_date, run.mix) == (batch.service_date, batch.mix)
            && recipes.dough_of(run.product) == Some(batch.item)
    })
}

/// The step after the mixer.
fn after_mix(bakery: &Bakery, run: &Run) -> Option<StepHours> {
    let steps = &bakery.lists().routes[run.route as usize].steps;
    let name = |step: u32| steps.get(step as usize).map_or("", |step| step.name.as_str());
    let mix = run
        .steps
        .iter()
        .position(|step| matches!(step.spot, Some(Spot::Mixer(_))) || name(step.step) == "mix")?;
    let next = run.steps.get(mix + 1)?;
    Some(StepHours { step: name(next.step).to_owned(), start: next.start, end: next.end })
}
