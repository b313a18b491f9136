//! Made things, level by level, later service dates first.

mod asks;
mod feeds;
mod reach;
mod shared;

pub(super) use feeds::Seeds;
pub(super) use reach::{Reached, reach};

use super::{
    Ask, AskedBy, Batch, BatchGroup, Finding, Issue, Plan, PlanError, UnderMinimum,
    held::{self, DraftInput, Drafted, HeldLoads},
    issues, load_pieces,
    made_stock::{CreditAsk, FromStock, MadeStock},
    overrides::ByHand,
    times::Clock,
};
use crate::{
    bakery::{Bakery, Driver, Recipe, RecipeLine, Recipes, Steps},
    book::Book,
    expand::{Gross, gross},
    load::HeldLoad,
    ratio::{Overflow, Ratio},
    split::{Bowl, Split, SplitError, SplitInput, split},
    weigh::weigh,
};
use asks::{asks_of, steps_of};
use jiff::civil::Date;
use std::{collections::BTreeMap, sync::Arc};

/// What batches are made from, beside what is asked and what is in stock.
pub(super) struct Given<'a> {
    pub(super) bakery: &'a Bakery,
    pub(super) book: &'a Book,
    pub(super) clock: &'a Clock<'a>,
}

/// Fills in all batches.
pub(super) fn fill(
    given: &Given<'_>,
    plan: &mut Plan,
    mut stock: MadeStock<'_>,
    until: Date,
) -> Result<(), PlanError> {
    let held = HeldLoads::new(given.bakery, given.book);
    hand_out((given, &held), plan, &mut stock)?;
    let mut days = Vec::with_capacity(plan.dates.len());
    let mut seeds = Seeds::new(Some(until), &given.book.open_dates);
    for day in (0..plan.dates.len()).rev() {
        let service_date = plan.dates[day];
        let mut sweep = Sweep::new((given, &held), service_date, &mut stock);
        sweep.ask_for_pieces(plan)?;
        days.push(sweep.run(plan, &mut seeds)?);
    }
    stock.feed_before_first(given.bakery, &mut seeds)?;
    let mut batches: Vec<Batch> = days.into_iter().rev().flatten().collect();
    if !seeds.feeds.is_empty() {
        batches.append(&mut seeds.feeds);
        // Stable: within a date users stay before what they use.
        batches.sort_by_key(|batch| batch.service_date);
    }
    let mut batch_of = BTreeMap::new();
    for batch in batches {
        let at = u32::try_from(plan.batches.len()).map_err(|_| Overflow)?;
        batch_of.entry((batch.service_date, batch.item)).or_insert(at);
        plan.batches.push(Arc::new(batch));
    }
    plan.batch_of = Arc::new(batch_of);
    Ok(())
}

/// Hands made stock out to the batches, earliest service date first.
///
/// What a level takes from stock it does not ask of the next, so the dates are swept once
/// just for that; only if there is such stock.
fn hand_out(
    given: (&Given<'_>, &HeldLoads<'_>),
    plan: &mut Plan,
    stock: &mut MadeStock<'_>,
) -> Result<(), PlanError> {
    if stock.is_settled() {
        return Ok(());
    }
    for day in 0..plan.dates.len() {
        let mut sweep = Sweep::new(given, plan.dates[day], stock);
        sweep.ask_for_pieces(plan)?;
        sweep.run(plan, &mut Seeds::new(None, &[]))?;
        let of_orders = |finding: &Finding| {
            matches!(
                finding,
                Finding::UnknownInOrder { .. }
                    | Finding::Decided { .. }
                    | Finding::Substituted { .. }
            )
        };
        plan.findings.retain(of_orders);
    }
    stock.settle();
    Ok(())
}

/// What is asked of one recipe while a date is swept.
#[derive(Default)]
struct Asked {
    by: Vec<Ask>,
    /// Blocks of base dough, if nothing else is asked of it.
    steps: Option<Steps>,
    /// One mix of several: its number, and the start pieces of each product in it.
    mix: Option<(u32, BTreeMap<u32, i64>)>,
}

/// How much is made of something.
struct Size {
    net: Ratio,
    gross: Gross,
    steps: Option<Steps>,
}

struct Sweep<'a, 's> {
    bakery: &'a Bakery,
    book: &'a Book,
    clock: &'a Clock<'a>,
    held: &'a HeldLoads<'a>,
    stock: &'a mut MadeStock<'s>,
    recipes: &'a Recipes,
    service_date: Date,
    asked: Vec<Asked>,
    /// Start pieces of the date, by position of product.
    start_of: Vec<i64>,
}

impl<'a, 's> Sweep<'a, 's> {
    fn new(
        (given, held): (&Given<'a>, &'a HeldLoads<'a>),
        service_date: Date,
        stock: &'a mut MadeStock<'s>,
    ) -> Self {
        let &Given { bakery, book, clock } = given;
        let recipes = bakery.recipes(service_date);
        let asked = recipes.recipes.iter().map(|_| Asked::default()).collect();
        let start_of = vec![0; bakery.lists().products.len()];
        Self { bakery, book, clock, held, stock, recipes, service_date, asked, start_of }
    }

    /// What the start pieces of the date take of made things.
    fn ask_for_pieces(&mut self, plan: &Plan) -> Result<(), PlanError> {
        let date = self.service_date;
        let pieces = &plan.demand.pieces;
        let from = pieces.partition_point(|line| line.service_date < date);
        for line in pieces.tail(from).take_while(|line| line.service_date == date) {
            self.start_of[line.product as usize] = line.start;
            for (recipe, amount) in asks_of(self.recipes, line) {
                self.ask(recipe, AskedBy::Product(line.product), amount?);
            }
        }
        Ok(())
    }

    /// Adds an ask; those of one user are summed.
    fn ask(&mut self, recipe: usize, by: AskedBy, amount: Ratio) {
        if amount.is_zero() {
            return;
        }
        let asks = &mut self.asked[recipe].by;
        match asks.last_mut() {
            Some(last) if last.by == by => match last.amount.plus(amount) {
                Ok(sum) => last.amount = sum,
                Err(Overflow) => asks.push(Ask { by, amount }),
            },
            _ => asks.push(Ask { by, amount }),
        }
    }

    fn run(mut self, plan: &mut Plan, seeds: &mut Seeds) -> Result<Vec<Batch>, PlanError> {
        let mut batches = Vec::new();
        for at in 0..self.recipes.recipes.len() {
            let asked = std::mem::take(&mut self.asked[at]);
            // What is released is there, even if nobody asks for it any more.
            let item = self.recipes.recipes[at].item;
            if asked.by.is_empty() && !self.held.covers(self.service_date, item) {
                continue;
            }
            if let Some(mixes) = self.mixes(at, &asked, plan)? {
                for mix in mixes {
                    self.add(at, mix, plan, seeds, &mut batches)?;
                }
            } else {
                self.add(at, asked, plan, seeds, &mut batches)?;
            }
        }
        for batch in batches.iter().filter(|batch| batch.split.under_minimum) {
            let (item, service_date) = (batch.item, batch.service_date);
            plan.findings.push(Finding::UnderMinimum { item, service_date });
        }
        Ok(batches)
    }

    /// Makes a batch of what is asked and passes on what it takes.
    fn add(
        &mut self,
        at: usize,
        asked: Asked,
        plan: &mut Plan,
        seeds: &mut Seeds,
        batches: &mut Vec<Batch>,
    ) -> Result<(), PlanError> {
        let recipe = &self.recipes.recipes[at];
        let (item, service_date) = (recipe.item, self.service_date);
        match self.batch(at, asked, plan, seeds) {
            Ok(mut batch) => {
                if batch.mix > 1 {
                    // Loads of all mixes are counted through.
                    let before = batches.iter().filter(|other| other.item == item);
                    let taken = before.flat_map(|other| other.numbers.iter().copied()).collect();
                    batch.numbers = self.held.free_numbers(&batch, taken);
                }
                self.pass_on(recipe, &batch)?;
                batches.push(batch);
                Ok(())
            }
            // One mistyped order must not take the morning from all others.
            Err(SplitError::TooManyLoads) => {
                plan.findings.push(Finding::TooManyLoads { item, service_date });
                Ok(())
            }
            Err(source) => {
                let code = self.bakery.item(item).code.clone();
                Err(PlanError::Batch { code, service_date, source })
            }
        }
    }

    fn batch(
        &mut self,
        at: usize,
        asked: Asked,
        plan: &mut Plan,
        seeds: &mut Seeds,
    ) -> Result<Batch, SplitError> {
        let recipe = &self.recipes.recipes[at];
        let mix = asked.mix.as_ref().map_or(1, |(number, _)| *number);
        let from_stock = self.take_from_stock(recipe, mix, &asked.by)?;
        let keep_back = seeds.keep_back(self.bakery, recipe, self.service_date)?;
        let size = self.size(recipe, (&asked, &from_stock), keep_back)?;
        let Size { net, gross: grossed, steps } = size;
        let held = self.held.of(self.service_date, recipe.item, mix);
        let folded = self.folded(recipe, grossed.blocks, held, plan)?;
        let (blocks, held_blocks) = (
            folded.as_ref().map(|folded| folded.blocks),
            folded.as_ref().map_or(0, |folded| folded.held),
        );
        let (drafted, mixer) = match folded {
            Some(folded) => (folded.drafted, None),
            None => {
                let mass = (grossed.mass.plus(keep_back)?, steps);
                self.drafted(recipe, mass, (&asked.by, held), plan)?
            }
        };
        let Drafted { split, held: parts, numbers, to_mix, raised_from, .. } = drafted;
        let lines = self.recipes.lines_of(recipe);
        let groups = weigh_groups(self.bakery, recipe, lines, &split)?;
        let kept = held::seed(self.bakery, recipe.item, held)?;
        seeds.remember(self.bakery, recipe, (lines, &split, kept), self.service_date)?;
        let mut batch = Batch {
            recipe: u32::try_from(at).map_err(|_| Overflow)?,
            item: recipe.item,
            service_date: self.service_date,
            mix,
            feed: false,
            load_times: Vec::new(),
            latest_start: None,
            made_at: None,
            asked: asked.by,
            from_stock,
            net,
            gross: grossed.mass,
            keep_back,
            blocks,
            held_blocks,
            mixer,
            groups,
            issues: Vec::new(),
            pieces_per_load: Vec::new(),
            options: self.options(recipe, &split, to_mix)?,
            split,
            held: parts,
            held_issues: held::issues(self.bakery, held, grossed.blocks.is_some())?,
            numbers,
            to_mix,
            raised_from,
        };
        batch.issues = issues::issues(self.bakery, recipe, lines, &batch)?;
        let of_mix = asked.mix.as_ref().map(|(_, pieces)| pieces);
        let start_of = |product: u32| match of_mix {
            Some(pieces) => pieces.get(&product).copied().unwrap_or(0),
            None => self.start_of[product as usize],
        };
        batch.pieces_per_load = load_pieces::fill(self.bakery, recipe, &batch, &start_of, held)?;
        Ok(batch)
    }

    /// What is asked, with its losses, and in which steps it is made.
    fn size(
        &self,
        recipe: &Recipe,
        (asked, from_stock): (&Asked, &[FromStock]),
        keep_back: Ratio,
    ) -> Result<Size, Overflow> {
        let mut net = Ratio::ZERO;
        for ask in &asked.by {
            net = net.plus(ask.amount)?;
        }
        for taken in from_stock {
            net = net.minus(taken.credit)?;
        }
        let gross = gross(recipe, net)?;
        // Only blocks ask for it, and nothing is lost on the way: whole blocks stay whole.
        let only_blocks = asked.by.len() == 1
            && recipe.remaining == Ratio::ONE
            && keep_back.is_zero()
            && from_stock.is_empty();
        let steps = gross.steps.or(asked.steps.filter(|_| only_blocks));
        Ok(Size { net, gross, steps })
    }

    /// Loads of what is asked, if nothing is released and nobody set anything.
    fn loads(&self, recipe: &Recipe, asked: &Asked) -> Result<i64, SplitError> {
        let Size { gross, steps, .. } = self.size(recipe, (asked, &[]), Ratio::ZERO)?;
        let bowl = self.bowl(recipe, recipe.mixer);
        Ok(split(SplitInput { mass: gross.mass, steps, bowl })?.loads)
    }

    /// Draft loads beside held ones, and the mixer of the drafts.
    fn drafted(
        &self,
        recipe: &Recipe,
        (mass, steps): (Ratio, Option<Steps>),
        (asked, held): (&[Ask], &[(u32, &HeldLoad)]),
        plan: &mut Plan,
    ) -> Result<(Drafted, Option<u32>), SplitError> {
        let of = (self.service_date, recipe.item);
        let by_hand = ByHand::of(self.book, self.service_date, &self.bakery.item(recipe.item).code);
        let (mixer, no_mixer) = by_hand.mixer(self.bakery, recipe);
        let overs = match held.is_empty() {
            true => Ratio::ZERO,
            false => held::overs_mass(plan, self.service_date, recipe, asked)?,
        };
        let bowl = self.bowl(recipe, mixer.filter(|_| !mass.is_zero()));
        let bakery = self.bakery;
        let drafted = held::draft(&DraftInput { bakery, mass, steps, bowl, overs, held, by_hand })?;
        let older = match by_hand.new_formula_seen {
            true => Vec::new(),
            false => held::older(bakery, recipe, self.recipes.lines_of(recipe), held)?,
        };
        plan.note_held(bakery, of, &drafted, no_mixer, older);
        let mixer = mixer.map(|(mixer, _)| mixer).filter(|_| !drafted.hand_mix);
        Ok((drafted, mixer))
    }

    fn bowl(&self, recipe: &Recipe, mixer: Option<(u32, i64)>) -> Option<Bowl> {
        let (mixer, maximum_ug) = mixer?;
        let mixer = &self.bakery.lists().mixers[mixer as usize];
        // What is made by the pan leaves no residue that another pan makes up for.
        let residue = match recipe.driver {
            Driver::Batch { .. } => Ratio::ZERO,
            Driver::Mass | Driver::Blocks { .. } => mixer.residue(),
        };
        Some(Bowl {
            minimum: Ratio::whole(mixer.minimum_ug.into()),
            maximum: Ratio::whole(maximum_ug.into()),
            residue,
        })
    }

    /// What made stock spares a batch.
    fn take_from_stock(
        &mut self,
        recipe: &Recipe,
        mix: u32,
        asked: &[Ask],
    ) -> Result<Vec<FromStock>, Overflow> {
        self.stock.credit(&CreditAsk {
            bakery: self.bakery,
            recipes: self.recipes,
            recipe,
            service_date: self.service_date,
            mix,
            asked,
            start_of: &self.start_of,
        })
    }

    /// What is issued becomes what is asked of the next level.
    fn pass_on(&mut self, recipe: &Recipe, batch: &Batch) -> Result<(), PlanError> {
        for issue in batch.issues.iter().chain(&batch.held_issues) {
            let Some((used, amount)) = self.passed(issue)? else { continue };
            self.ask(used, AskedBy::Formula(recipe.item), amount);
        }
        self.pass_on_blocks(recipe, batch)
    }

    /// What an issue asks of which recipe: micrograms, or batches.
    fn passed(&self, issue: &Issue) -> Result<Option<(usize, Ratio)>, Overflow> {
        if issue.previous_batch {
            return Ok(None);
        }
        let Some(used) = self.recipes.of_item(issue.item) else { return Ok(None) };
        let amount = match self.recipes.recipes[used].driver {
            Driver::Batch { mass_ug: Some(mass), .. } if !issue.counted => {
                issue.micro.over(mass)?
            }
            Driver::Batch { pieces_micro: Some(pieces), .. } => issue.micro.over(pieces)?,
            _ => issue.micro,
        };
        Ok(Some((used, amount)))
    }

    fn options(
        &self,
        recipe: &Recipe,
        split: &Split,
        mass: Ratio,
    ) -> Result<Vec<UnderMinimum>, Overflow> {
        let mut options = Vec::new();
        if !split.under_minimum {
            return Ok(options);
        }
        let formula = self.bakery.formula_of(recipe);
        for (position, mixer) in (0_u32..).zip(&self.bakery.lists().mixers) {
            let class = formula.dough_class.as_deref().unwrap_or_default();
            let Some(most) = mixer.maximum_ug(class) else { continue };
            let load = mass.plus(mixer.residue())?;
            let fits =
                load >= Ratio::whole(mixer.minimum_ug.into()) && load <= Ratio::whole(most.into());
            if fits && recipe.mixer.is_some_and(|(own, _)| own != position) {
                options.push(UnderMinimum::SmallerMixer(mixer.code.clone()));
            }
        }
        options.extend([
            UnderMinimum::MergeWithNextDay,
            UnderMinimum::MergeWithSisterDough,
            UnderMinimum::RaiseToMinimum,
            UnderMinimum::HandMix,
            UnderMinimum::Drop,
        ]);
        Ok(options)
    }
}

/// Weighs the loads of a split, size by size.
fn weigh_groups(
    bakery: &Bakery,
    recipe: &Recipe,
    lines: &[RecipeLine],
    split: &Split,
) -> Result<Vec<BatchGroup>, SplitError> {
    let mut groups = Vec::with_capacity(split.groups.len());
    for group in &split.groups {
        let factor = match recipe.driver {
            Driver::Batch { step, .. } => {
                step.times(Ratio::whole(group.steps.unwrap_or(0).into()))?
            }
            Driver::Mass | Driver::Blocks { .. } => {
                group.mass.over(Ratio::whole(recipe.parts_sum.into()))?
            }
        };
        let mut weighed = Vec::new();
        let load = weigh(bakery.scales(), lines, factor, &mut weighed)?;
        groups.push(BatchGroup {
            group: *group,
            factor,
            lines: weighed,
            sum_ug: load.sum_ug,
            nudges: load.nudges,
            within_tolerance: load.within_tolerance,
            hydration_moved: load.hydration_moved,
        });
    }
    Ok(groups)
}
