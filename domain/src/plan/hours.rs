//! When the loads and pieces of a plan pass their steps, as far as anybody knows.

use super::{AskedBy, Batch, Plan};
use crate::{
    bakery::Bakery,
    calendar::{self, add_minutes},
    formula::Made,
    schedule::{House, StepTime, schedule},
};
use jiff::{Timestamp, civil::Time};

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

/// All steps of the route that a batch is made by.
pub(super) fn steps_of(bakery: &Bakery, plan: &Plan, batch: &Batch) -> Vec<StepHours> {
    let recipes = bakery.recipes(batch.service_date);
    let recipe = &recipes.recipes[batch.recipe as usize];
    match &bakery.formula_of(recipe).made {
        Made::Step { route, drop, .. } => {
            route_hours(bakery, plan, batch, route.as_str(), *drop).unwrap_or_default()
        }
        Made::At { .. } | Made::Products { .. } => Vec::new(),
    }
}

fn route_hours(
    bakery: &Bakery,
    plan: &Plan,
    batch: &Batch,
    route: &str,
    drop: Time,
) -> Option<Vec<StepHours>> {
    let site = bakery.site();
    let route = &bakery.lists().routes[bakery.index().route(route)? as usize];
    let drop = calendar::instant(&site.time_zone, batch.service_date, drop).ok()?;
    let house = House { zone: &site.time_zone, teams: &site.teams };
    let times = schedule(house, route, (batch.split.loads, pieces_on(plan, batch)), drop).ok()?;
    let named = |time: StepTime| StepHours {
        step: route.steps[time.step].name.clone(),
        start: time.start,
        end: time.end,
    };
    Some(times.into_iter().map(named).collect())
}

/// Start pieces of all products that ask for a batch.
fn pieces_on(plan: &Plan, batch: &Batch) -> i64 {
    let asks = |product| batch.asked.iter().any(|ask| ask.by == AskedBy::Product(product));
    let lines = plan.demand.pieces.iter().filter(|line| line.service_date == batch.service_date);
    lines.filter(|line| asks(line.product)).map(|line| line.start).sum()
}

/// When a load of a batch is mixed; loads count from 1.
pub(super) fn load_hours(
    bakery: &Bakery,
    plan: &Plan,
    batch: &Batch,
    load: i64,
) -> Option<LoadHours> {
    let recipes = bakery.recipes(batch.service_date);
    let formula = bakery.formula_of(&recipes.recipes[batch.recipe as usize]);
    let mixing = formula.mixing.as_ref();
    let minutes = mixing.map(|mixing| mixing.slow_minutes + mixing.fast_minutes);
    let pause = mixing.map_or(0, |mixing| mixing.between_minutes);
    let steps = steps_of(bakery, plan, batch);
    let mix = steps.iter().position(|hours| hours.step == "mix");
    let first = mix.map_or(batch.made_at?, |at| steps[at].start);
    let each = mix.map_or(minutes, |at| {
        let all = (steps[at].end.as_second() - steps[at].start.as_second()) / 60;
        Some((all - pause * (batch.split.loads - 1)) / batch.split.loads.max(1))
    });
    let start = match each {
        Some(each) => add_minutes(first, (each + pause) * (load - 1)).ok()?,
        None if load == 1 => first,
        None => return None,
    };
    Some(LoadHours {
        start,
        end: each.and_then(|each| add_minutes(start, each).ok()),
        next: mix.and_then(|at| steps.get(at + 1).cloned()),
    })
}
