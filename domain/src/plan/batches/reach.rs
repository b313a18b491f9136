//! The batches of one service date that other pieces reach, made anew.
//!
//! A batch is reached if what is asked of it is another amount. Since a level restarts from
//! rounded issues, most of what is reached passes nothing on.

use super::{Asked, Given, HeldLoads, MadeStock, Seeds, Sweep, asks_of, steps_of};
use crate::{
    bakery::{Recipe, RecipeLine, Steps},
    demand::PieceLine,
    plan::{
        Ask, AskedBy, Batch, Plan,
        replan::{Stop, WholeBecause},
        times::doughs::kept_times,
    },
    ratio::{Overflow, Ratio},
};
use jiff::civil::Date;
use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};

/// One batch before and after; none where it is not made.
pub(in crate::plan) struct Reached {
    /// Position of the item that it makes.
    pub(in crate::plan) item: u32,
    pub(in crate::plan) was: Option<Arc<Batch>>,
    pub(in crate::plan) is: Option<Arc<Batch>>,
}

/// What each user asks of a recipe from now on; none if nothing.
type Changes = BTreeMap<usize, Vec<(AskedBy, Option<Ratio>)>>;

/// Makes anew what some products reach, whose pieces are given before and after.
pub(in crate::plan) fn reach(
    given: &Given<'_>,
    plan: &Plan,
    service_date: Date,
    pieces: &[(Option<PieceLine>, Option<PieceLine>)],
) -> Result<Vec<Reached>, Stop> {
    let (held, mut stock) = (HeldLoads::new(given.bakery, given.book), MadeStock::none());
    let sweep = Sweep::new((given, &held), service_date, &mut stock);
    let mut open = Changes::new();
    for (was, is) in pieces {
        let asked = |line: &Option<PieceLine>| -> Result<BTreeMap<usize, Ratio>, Overflow> {
            let asks = line.iter().flat_map(|line| asks_of(sweep.recipes, line));
            summed(asks.map(|(recipe, amount)| Ok((recipe, amount?))))
        };
        let Some(product) = is.as_ref().or(was.as_ref()).map(|line| line.product) else { continue };
        note(&mut open, AskedBy::Product(product), &asked(was)?, &asked(is)?);
    }
    Reaching { given, plan, sweep, open, reached: Vec::new() }.run()
}

/// Amounts by recipe, those of one recipe together.
fn summed(
    asks: impl Iterator<Item = Result<(usize, Ratio), Overflow>>,
) -> Result<BTreeMap<usize, Ratio>, Overflow> {
    let mut sums: BTreeMap<usize, Ratio> = BTreeMap::new();
    for ask in asks {
        let (recipe, amount) = ask?;
        let sum = sums.entry(recipe).or_insert(Ratio::ZERO);
        *sum = sum.plus(amount)?;
    }
    sums.retain(|_, amount| !amount.is_zero());
    Ok(sums)
}

/// Notes of which recipes a user asks another amount than before.
fn note(
    open: &mut Changes,
    by: AskedBy,
    was: &BTreeMap<usize, Ratio>,
    is: &BTreeMap<usize, Ratio>,
) {
    let recipes: BTreeSet<usize> = was.keys().chain(is.keys()).copied().collect();
    for recipe in recipes {
        let amount = is.get(&recipe).copied();
        if was.get(&recipe).copied() != amount {
            open.entry(recipe).or_default().push((by, amount));
        }
    }
}

struct Reaching<'a, 's, 'g> {
    given: &'g Given<'a>,
    plan: &'g Plan,
    sweep: Sweep<'a, 's>,
    open: Changes,
    reached: Vec<Reached>,
}

impl Reaching<'_, '_, '_> {
    fn run(mut self) -> Result<Vec<Reached>, Stop> {
        // Users before what they use: what is open lies behind what is done.
        while let Some((at, changes)) = self.open.pop_first() {
            let recipe = &self.sweep.recipes.recipes[at];
            let item = recipe.item;
            self.is_plain(recipe)?;
            let position = self.plan.batch_of.get(&(self.sweep.service_date, item));
            let was = position.map(|&at| Arc::clone(&self.plan.batches[at as usize]));
            let mut by = was.as_ref().map(|batch| batch.asked.clone()).unwrap_or_default();
            for (user, amount) in changes {
                self.change(&mut by, user, amount);
            }
            let is = if by.is_empty() { None } else { Some(self.make(at, by, was.as_deref())?) };
            let passes = |batch: Option<&Batch>| {
                let issues = batch.into_iter().flat_map(|batch| &batch.issues);
                summed(issues.filter_map(|issue| self.sweep.passed(issue).transpose()))
            };
            let (before, after) = (passes(was.as_deref())?, passes(is.as_ref())?);
            note(&mut self.open, AskedBy::Formula(item), &before, &after);
            self.reached.push(Reached { item, was, is: is.map(Arc::new) });
        }
        Ok(self.reached)
    }

    /// Whether a batch stands for itself: no seed, no kept dough, one mix.
    fn is_plain(&self, recipe: &Recipe) -> Result<(), Stop> {
        let formula = self.given.bakery.formula_of(recipe);
        let previous = |line: &RecipeLine| line.flags.previous_batch();
        if formula.keep_back_after_last.is_some()
            || formula.keeping.keep_for_next.is_some()
            || self.sweep.recipes.lines_of(recipe).iter().any(previous)
        {
            return Err(Stop::Whole(WholeBecause::KeptDough));
        }
        if self.plan.mixes(self.sweep.service_date, recipe.item).count() > 1 {
            return Err(Stop::Whole(WholeBecause::Timetable));
        }
        Ok(())
    }

    /// Puts one ask where it belongs: products first, then formulas, both in their order.
    fn change(&self, by: &mut Vec<Ask>, user: AskedBy, amount: Option<Ratio>) {
        let rank = |by: AskedBy| match by {
            AskedBy::Product(product) => (0, product as usize),
            AskedBy::Formula(item) => (1, self.sweep.recipes.of_item(item).unwrap_or(usize::MAX)),
        };
        let found = by.binary_search_by_key(&rank(user), |ask| rank(ask.by));
        match (found, amount) {
            (Ok(at), Some(amount)) => by[at].amount = amount,
            (Ok(at), None) => {
                by.remove(at);
            }
            (Err(at), Some(amount)) => by.insert(at, Ask { by: user, amount }),
            (Err(_), None) => {}
        }
    }

    fn make(&mut self, at: usize, by: Vec<Ask>, was: Option<&Batch>) -> Result<Batch, Stop> {
        let date = self.sweep.service_date;
        for ask in &by {
            if let AskedBy::Product(product) = ask.by {
                self.sweep.start_of[product as usize] = self.plan.start_of(date, product);
            }
        }
        let steps = self.steps(at, &by)?;
        let asked = Asked { by, steps, mix: None };
        let (mut found, mut seeds) = (Plan::default(), Seeds::new(None, &[]));
        let mut batch = self.sweep.batch(at, asked, &mut found, &mut seeds)?;
        if !found.findings.is_empty() {
            return Err(Stop::Whole(WholeBecause::ByHand));
        }
        match kept_times(self.given.bakery, was, &mut batch)? {
            Some(()) => Ok(batch),
            None => Err(Stop::Whole(WholeBecause::Timetable)),
        }
    }

    /// Whole blocks that laminated doughs ask of a recipe; the last of them holds.
    fn steps(&self, at: usize, by: &[Ask]) -> Result<Option<Steps>, Overflow> {
        let mut steps = None;
        let item = self.sweep.recipes.recipes[at].item;
        for ask in by {
            let AskedBy::Formula(user) = ask.by else { continue };
            let made = self.reached.iter().find(|reached| reached.item == user);
            let batch = match made {
                Some(reached) => reached.is.as_deref(),
                None => self.plan.batch(self.sweep.service_date, user),
            };
            let Some(batch) = batch else { continue };
            let recipe = &self.sweep.recipes.recipes[batch.recipe as usize];
            for issue in batch.issues.iter().filter(|issue| issue.item == item) {
                steps = steps_of(recipe, batch, issue)?.or(steps);
            }
        }
        Ok(steps)
    }
}
