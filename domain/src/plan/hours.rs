//! When a load is in its mixer and what comes after, as far as anybody knows.

use super::{Batch, Plan, Run, Spot};
use crate::{bakery::Bakery, load::HeldLoad};
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

/// When a draft load of a batch is mixed, by its number.
///
/// Without minutes on file only the first draft has a time: the batch's own.
pub(super) fn load_hours(
    bakery: &Bakery,
    plan: &Plan,
    batch: &Batch,
    number: i64,
) -> Option<LoadHours> {
    let (start, end) = match batch.load_times.iter().find(|time| time.load == number) {
        Some(time) => (time.start, Some(time.end)),
        None if batch.numbers.first() == Some(&number) => (batch.made_at?, None),
        None => return None,
    };
    Some(LoadHours { start, end, next: next(bakery, plan, batch) })
}

/// When a released load is mixed: as it was released, else from the start of its first step.
pub(super) fn held_hours(
    bakery: &Bakery,
    plan: &Plan,
    batch: &Batch,
    held: &HeldLoad,
) -> LoadHours {
    let (start, end) = match held.mixes {
        Some((start, end)) => (start, Some(end)),
        None => (held.starts_at, None),
    };
    LoadHours { start, end, next: next(bakery, plan, batch) }
}

/// The first step after the mixer of all pieces from a batch.
fn next(bakery: &Bakery, plan: &Plan, batch: &Batch) -> Option<StepHours> {
    let runs = runs_of(bakery, plan, batch);
    runs.filter_map(|run| after_mix(bakery, run)).min_by_key(|next| next.start)
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
