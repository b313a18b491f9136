//! What a build keeps back for a later one, and the feeds between two builds.
//!
//! A seed lives only so long after its build. On days without a build the levain is fed in
//! time: a small build of its own that nobody asks for, at the hour of the builds.

use super::weigh_groups;
use crate::{
    bakery::{Bakery, Recipe, RecipeLine},
    book::Book,
    calendar::{add_days, add_minutes, instant_at},
    formula::{Formula, Made},
    plan::{Batch, PlanError, issues},
    ratio::{Overflow, Ratio},
    split::{Split, SplitError, SplitInput, split},
};
use jiff::{Timestamp, civil::Date};
use std::collections::BTreeMap;

/// What standing orders are multiplied with while their date's orders are not in.
///
/// # Source
/// trade.md 2.7: common practice.
const NOT_IN_YET: (i128, i128) = (11, 10);
/// Days without a build that are looked at before one.
const DAYS_MAX: usize = 60;

/// What a later build of a levain asks of the earlier ones.
#[derive(Debug, Clone, Copy)]
struct Later {
    seed: Ratio,
    /// When it is built, if its formula says so by the clock.
    at: Option<Timestamp>,
    date: Date,
}

/// Seeds of the builds seen so far, latest first, and the feeds between them.
pub(in crate::plan) struct Seeds {
    /// Last service date looked at; none if levains are not fed here.
    until: Option<Date>,
    /// Dates whose orders are not in yet: their builds may still grow.
    open_dates: Vec<Date>,
    later: BTreeMap<u32, Later>,
    pub(super) feeds: Vec<Batch>,
}

impl Seeds {
    /// No build is seen yet; with a last service date, days without a build get feeds.
    pub(super) fn new(until: Option<Date>, open_dates: &[Date]) -> Self {
        let open_dates = open_dates.to_vec();
        Self { until, open_dates, later: BTreeMap::new(), feeds: Vec::new() }
    }

    /// What a build keeps: the exact seed of what comes next, what the last one keeps, or
    /// old dough for a later mix.
    pub(super) fn keep_back(
        &mut self,
        bakery: &Bakery,
        recipe: &Recipe,
        service_date: Date,
    ) -> Result<Ratio, SplitError> {
        let formula = bakery.formula_of(recipe);
        let old_dough = formula.keeping.keep_for_next.map_or(Ratio::ZERO, |kept| kept.ratio());
        let Some(kept) = formula.keep_back_after_last else { return Ok(old_dough) };
        let here = built_at(bakery, formula, service_date);
        let seed = match self.later.get(&recipe.item).copied() {
            Some(later) => self.chain(bakery, recipe, here, later)?,
            None => {
                // Its next build is the first day that is open again; until then it is fed.
                if let Some(later) = self.reopening(bakery, recipe, service_date) {
                    self.chain(bakery, recipe, here, later)?;
                }
                kept.ratio()
            }
        };
        Ok(seed.plus(old_dough)?)
    }

    /// Remembers what a build takes of the one before.
    pub(super) fn remember(
        &mut self,
        bakery: &Bakery,
        recipe: &Recipe,
        (lines, split, kept): (&[RecipeLine], &Split, Ratio),
        date: Date,
    ) -> Result<(), Overflow> {
        let mut drafted = own_seed(recipe, lines, split.mass)?;
        if self.open_dates.contains(&date) {
            drafted = drafted.times(Ratio::new(NOT_IN_YET.0, NOT_IN_YET.1)?)?;
        }
        let seed = drafted.plus(kept)?;
        if seed.is_positive() {
            let at = built_at(bakery, bakery.formula_of(recipe), date);
            self.later.insert(recipe.item, Later { seed, at, date });
        }
        Ok(())
    }

    /// Feeds from the youngest levain in the house to the first build.
    pub(in crate::plan) fn before_first(
        &mut self,
        bakery: &Bakery,
        book: &Book,
        as_of: Timestamp,
    ) -> Result<(), PlanError> {
        if self.until.is_none() {
            return Ok(());
        }
        for (item, later) in self.later.clone() {
            let recipes = bakery.recipes(later.date);
            let Some(position) = recipes.of_item(item) else { continue };
            let code = &bakery.item(item).code;
            let lots = book.lots.iter().filter(|lot| {
                lot.item == *code && lot.balance_micro > 0 && !lot.state.is_kept_back()
            });
            let Some(made_at) = lots.filter_map(|lot| lot.made_at).max() else { continue };
            let recipe = &recipes.recipes[position];
            let from = (made_at, as_of.max(made_at));
            self.chain_after(bakery, recipe, from, later).map_err(|source| PlanError::Batch {
                code: code.clone(),
                service_date: later.date,
                source,
            })?;
        }
        Ok(())
    }

    /// The build of the first open day after closed ones, if that lies in the plan.
    fn reopening(&self, bakery: &Bakery, recipe: &Recipe, after: Date) -> Option<Later> {
        let (site, until) = (bakery.site(), self.until?);
        let mut date = add_days(after, 1).ok()?;
        while date <= until {
            if site.sells_on(date) {
                let at = built_at(bakery, bakery.formula_of(recipe), date);
                return Some(Later { seed: Ratio::ZERO, at, date });
            }
            date = add_days(date, 1).ok()?;
        }
        None
    }

    fn chain(
        &mut self,
        bakery: &Bakery,
        recipe: &Recipe,
        here: Option<Timestamp>,
        later: Later,
    ) -> Result<Ratio, SplitError> {
        match here {
            Some(here) => self.chain_after(bakery, recipe, (here, here), later),
            None => Ok(later.seed),
        }
    }

    /// Feeds so that no seed grows older than it lives, from a making to a later build; none
    /// before `not_before`. Returns the seed that the first of all this takes.
    fn chain_after(
        &mut self,
        bakery: &Bakery,
        recipe: &Recipe,
        (made_at, not_before): (Timestamp, Timestamp),
        later: Later,
    ) -> Result<Ratio, SplitError> {
        let formula = bakery.formula_of(recipe);
        let (Some(life), Some(end), Some(_)) =
            (formula.keeping.seed_life_minutes, later.at, self.until)
        else {
            return Ok(later.seed);
        };
        let slots = slots(bakery, formula, not_before, later.date, end);
        let mut chosen: Vec<(Date, Timestamp)> = Vec::new();
        let mut fed = made_at;
        while add_minutes(fed, life).is_ok_and(|over| over < end) {
            let in_time =
                |slot: &&(Date, Timestamp)| add_minutes(fed, life).is_ok_and(|over| slot.1 <= over);
            let after = slots.iter().filter(|slot| slot.1 > fed);
            // The last hour that is still in time; without one, the next hour there is.
            let next = after.clone().filter(in_time).max_by_key(|slot| slot.1);
            let Some(&slot) = next.or_else(|| after.min_by_key(|slot| slot.1)) else { break };
            chosen.push(slot);
            fed = slot.1;
        }
        let least = formula.keep_back_after_last.map_or(Ratio::ZERO, |kept| kept.ratio());
        let mut seed = later.seed;
        for (date, at) in chosen.into_iter().rev() {
            seed = self.feed(bakery, recipe.item, (date, at), seed.max(least))?;
        }
        Ok(seed)
    }

    /// Adds one feed; returns the seed that it takes.
    fn feed(
        &mut self,
        bakery: &Bakery,
        item: u32,
        (service_date, at): (Date, Timestamp),
        mass: Ratio,
    ) -> Result<Ratio, SplitError> {
        let recipes = bakery.recipes(service_date);
        let Some(position) = recipes.of_item(item) else { return Ok(mass) };
        let recipe = &recipes.recipes[position];
        let lines = recipes.lines_of(recipe);
        // A feed is stirred by hand, whatever the builds are mixed in.
        let split = split(SplitInput { mass, steps: None, bowl: None })?;
        let groups = weigh_groups(bakery, recipe, lines, &split)?;
        let mut batch = Batch {
            recipe: u32::try_from(position).map_err(|_| Overflow)?,
            item,
            service_date,
            mix: 1,
            feed: true,
            load_times: Vec::new(),
            latest_start: None,
            made_at: Some(at),
            asked: Vec::new(),
            from_stock: Vec::new(),
            net: Ratio::ZERO,
            gross: Ratio::ZERO,
            keep_back: mass,
            blocks: None,
            held_blocks: 0,
            mixer: None,
            groups,
            issues: Vec::new(),
            pieces_per_load: Vec::new(),
            options: Vec::new(),
            numbers: (1..=split.loads).collect(),
            to_mix: mass,
            split,
            held: Vec::new(),
            held_issues: Vec::new(),
            raised_from: None,
        };
        batch.issues = issues::issues(bakery, recipe, lines, &batch)?;
        self.feeds.push(batch);
        Ok(own_seed(recipe, lines, mass)?)
    }
}

/// When a formula is built for a service date, if it says so by the clock.
fn built_at(bakery: &Bakery, formula: &Formula, date: Date) -> Option<Timestamp> {
    match &formula.made {
        Made::At { at, .. } => instant_at(&bakery.site().time_zone, date, *at).ok(),
        Made::Step { .. } | Made::Products { .. } => None,
    }
}

/// What a build of a mass takes of its own kind.
fn own_seed(recipe: &Recipe, lines: &[RecipeLine], mass: Ratio) -> Result<Ratio, Overflow> {
    let own = lines.iter().filter(|line| line.flags.previous_batch() && line.item == recipe.item);
    let parts: i64 = own.map(|line| line.parts).sum();
    mass.times(Ratio::new(parts.into(), recipe.parts_sum.into())?)
}

/// The hours of the builds on the days before a build, from an instant on, earliest first.
fn slots(
    bakery: &Bakery,
    formula: &Formula,
    from: Timestamp,
    before: Date,
    end: Timestamp,
) -> Vec<(Date, Timestamp)> {
    let mut found = Vec::new();
    let mut date = before;
    for _ in 0..DAYS_MAX {
        let Ok(earlier) = add_days(date, -1) else { break };
        date = earlier;
        match built_at(bakery, formula, date) {
            Some(at) if at > from && at < end => found.push((date, at)),
            Some(at) if at <= from => break,
            _ => {}
        }
    }
    found.reverse();
    found
}
