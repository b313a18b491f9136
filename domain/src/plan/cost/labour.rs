//! What the hands cost: attended minutes of the routes at a wage, beside all other costs.

use crate::{
    bakery::{Bakery, CompiledMakeUp, Labour},
    figure::Figure,
    id::Code,
    plan::{Plan, times::Run},
    ratio::Ratio,
};
use jiff::{Timestamp, civil::Date};
use std::collections::{BTreeMap, BTreeSet};

/// Why the labour of a product is only an "at least".
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum LabourGap {
    /// Its pieces have no times, so nobody knows the minutes.
    NoTimes,
    /// A team without a wage.
    NoWage(Code),
}

/// The labour of all pieces of one product.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ProductLabour {
    /// Attended minutes, its share of those that it has in common with others.
    pub minutes: Figure,
    /// What they cost, in minor units, as far as wages are known.
    pub minor: Figure,
    /// What is missing.
    pub missing: BTreeSet<LabourGap>,
}

/// Who stands at one step from when to when: what several runs do then is done once.
type Stint<'a> = (u32, &'a Code, &'a str, Timestamp, Timestamp);

/// The labour of one service date, product by product; none while the house counts no labour.
///
/// Attended are the steps of a route that name a team, for as long as they last. Runs that do
/// the same step of the same dough at the same time share it by the dough that they take.
/// Standard and planned cost have the same minutes: those of the routes, for the day's loads
/// and pieces.
#[must_use]
pub fn labour(bakery: &Bakery, plan: &Plan, date: Date) -> Option<BTreeMap<u32, ProductLabour>> {
    let wages = bakery.site().labour.as_ref()?;
    let mut found: BTreeMap<u32, ProductLabour> = BTreeMap::new();
    let mut stints: BTreeMap<Stint<'_>, Vec<(u32, Figure)>> = BTreeMap::new();
    let mut runs_of: BTreeMap<u32, Vec<&Run>> = BTreeMap::new();
    for run in plan.runs.iter().filter(|run| run.service_date == date) {
        runs_of.entry(run.product).or_default().push(run);
    }
    for line in plan.demand.pieces.iter().filter(|line| line.service_date == date && line.start > 0)
    {
        let own = runs_of.remove(&line.product).unwrap_or_default();
        let known = found.entry(line.product).or_default();
        // Runs of par-baked pieces are finished only: their dough was another day's work.
        let pieces: i64 = own.iter().filter(|run| !run.is_finishing()).map(|run| run.pieces).sum();
        if pieces < line.start {
            known.missing.insert(LabourGap::NoTimes);
        }
        for run in own {
            attend(bakery, run, &mut stints);
        }
    }
    for ((_, team, _, start, end), users) in stints {
        let minutes = Figure::whole((end.as_second() - start.as_second()) / 60);
        let all: Figure = users.iter().map(|(_, weight)| weight).sum();
        for (product, weight) in users {
            let part = if all.is_zero() { Figure::zero() } else { weight.over(&all) };
            let minutes = minutes.times(&part);
            let labour = found.entry(product).or_default();
            labour.minutes = labour.minutes.plus(&minutes);
            match wage(wages, team) {
                Some(per_hour) => {
                    let cost = minutes.times(&Figure::whole(per_hour)).over(&Figure::whole(60));
                    labour.minor = labour.minor.plus(&cost);
                }
                None => {
                    labour.missing.insert(LabourGap::NoWage(team.clone()));
                }
            }
        }
    }
    Some(found)
}

/// The wage of a team for an hour: its own, else the one figure of the house.
fn wage(labour: &Labour, team: &Code) -> Option<i64> {
    let own = labour.teams.iter().find(|(code, _)| code == team).map(|(_, wage)| *wage);
    own.or(labour.per_hour).map(|money| money.minor)
}

/// The attended steps of a run, each with how much of its dough the run takes.
fn attend<'a>(bakery: &'a Bakery, run: &Run, stints: &mut BTreeMap<Stint<'a>, Vec<(u32, Figure)>>) {
    let route = &bakery.lists().routes[run.route as usize];
    let (dough, each) = dough(bakery, run);
    let weight = each.times(&Figure::whole(run.pieces));
    for timed in &run.steps {
        let step = &route.steps[timed.step as usize];
        let Some(team) = &step.team else { continue };
        let stint = (dough, team, step.name.as_str(), timed.start, timed.end);
        stints.entry(stint).or_default().push((run.product, weight.clone()));
    }
}

/// The dough of a run's product, and how much of it one piece takes; a product without dough
/// stands for itself, and its pieces weigh the same.
fn dough(bakery: &Bakery, run: &Run) -> (u32, Figure) {
    let recipes = bakery.recipes(run.service_date);
    let Some(dough) = recipes.dough_of(run.product) else {
        return (u32::MAX - run.product, Figure::whole(1));
    };
    let each = recipes.make_up_of(run.product).iter().find_map(|line| match *line {
        CompiledMakeUp::Mass { item, ug, .. } if item == dough => Some(ug),
        _ => None,
    });
    (dough, Figure::from(each.unwrap_or(Ratio::ONE)))
}

impl ProductLabour {
    /// Of one good piece, in minor units; none without any.
    #[must_use]
    pub fn per_good_piece(&self, good: i64) -> Option<Figure> {
        (good > 0).then(|| self.minor.over(&Figure::whole(good)))
    }
}
