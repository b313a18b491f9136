//! Made things, level by level, later service dates first.

mod feeds;

pub(super) use feeds::Seeds;

use super::{
    Ask, AskedBy, Batch, BatchGroup, Finding, LoadPieces, Plan, PlanError, UnderMinimum, issues,
    made_stock::{CreditAsk, FromStock, MadeStock},
};
use crate::{
    bakery::{Bakery, CompiledMakeUp, Driver, Recipe, RecipeLine, Recipes, Steps},
    calendar,
    expand::gross,
    formula::Made,
    product::Per,
    ratio::{Overflow, Ratio},
    schedule::{House, ScheduleError, schedule},
    split::{Bowl, Split, SplitError, SplitInput, split},
    weigh::weigh,
};
use jiff::{Timestamp, civil::Date};

/// Fills in all batches.
pub(super) fn fill(
    bakery: &Bakery,
    plan: &mut Plan,
    mut stock: MadeStock<'_>,
    until: Date,
) -> Result<(), PlanError> {
    hand_out(bakery, plan, &mut stock)?;
    let mut days = Vec::with_capacity(plan.dates.len());
    let mut seeds = Seeds::new(Some(until));
    for day in (0..plan.dates.len()).rev() {
        let service_date = plan.dates[day];
        let mut sweep = Sweep::new(bakery, service_date, &mut stock);
        sweep.ask_for_pieces(plan)?;
        plan.lines.reserve(sweep.lines_expected());
        days.push(sweep.run(plan, &mut seeds)?);
    }
    stock.feed_before_first(bakery, &mut seeds, plan)?;
    let mut batches: Vec<Batch> = days.into_iter().rev().flatten().collect();
    if !seeds.feeds.is_empty() {
        batches.append(&mut seeds.feeds);
        // Stable: within a date users stay before what they use.
        batches.sort_by_key(|batch| batch.service_date);
    }
    for batch in batches {
        let at = u32::try_from(plan.batches.len()).map_err(|_| Overflow)?;
        plan.batch_of.insert((batch.service_date, batch.item), at);
        plan.batches.push(batch);
    }
    plan.findings.sort_by_key(|finding| match finding {
        Finding::NoTime { service_date, item, .. } => (0, *service_date, *item),
        Finding::UnderMinimum { service_date, item } => (1, *service_date, *item),
        Finding::TooManyLoads { service_date, item } => (2, *service_date, *item),
        _ => (3, Date::MIN, 0),
    });
    Ok(())
}

/// Hands made stock out to the batches, earliest service date first.
///
/// What a level takes from stock it does not ask of the next, so the dates are swept once
/// just for that; only if there is such stock.
fn hand_out(bakery: &Bakery, plan: &mut Plan, stock: &mut MadeStock<'_>) -> Result<(), PlanError> {
    if stock.is_settled() {
        return Ok(());
    }
    for day in 0..plan.dates.len() {
        let mut sweep = Sweep::new(bakery, plan.dates[day], stock);
        sweep.ask_for_pieces(plan)?;
        sweep.run(plan, &mut Seeds::new(None))?;
        plan.lines.clear();
        plan.findings.retain(|finding| matches!(finding, Finding::UnknownInOrder { .. }));
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
}

struct Sweep<'a, 's> {
    bakery: &'a Bakery,
    stock: &'a mut MadeStock<'s>,

    recipes: &'a Recipes,
    service_date: Date,
    asked: Vec<Asked>,
    /// Start pieces of the date, by position of product.
    start_of: Vec<i64>,
}

impl<'a, 's> Sweep<'a, 's> {
    fn new(bakery: &'a Bakery, service_date: Date, stock: &'a mut MadeStock<'s>) -> Self {
        let recipes = bakery.recipes(service_date);
        let asked = recipes.recipes.iter().map(|_| Asked::default()).collect();
        let start_of = vec![0; bakery.lists().products.len()];
        Self { bakery, stock, recipes, service_date, asked, start_of }
    }

    /// Lines of all recipes: what a date weighs if each is made in loads of one size.
    const fn lines_expected(&self) -> usize {
        self.recipes.lines.len()
    }

    /// What the start pieces of the date take of made things.
    fn ask_for_pieces(&mut self, plan: &Plan) -> Result<(), PlanError> {
        let date = self.service_date;
        let pieces = &plan.demand.pieces;
        let from = pieces.partition_point(|line| line.service_date < date);
        for line in pieces[from..].iter().take_while(|line| line.service_date == date) {
            self.start_of[line.product as usize] = line.start;
            for make_up in self.recipes.make_up_of(line.product) {
                let (item, amount, per) = match *make_up {
                    CompiledMakeUp::Mass { item, ug, per, .. } => (item, ug, per),
                    CompiledMakeUp::Batches { item, batches, per } => (item, batches, per),
                    CompiledMakeUp::Count { .. } | CompiledMakeUp::Product { .. } => continue,
                };
                let Some(recipe) = self.recipes.of_item(item) else { continue };
                let times = match per {
                    Per::Piece => line.start,
                    Per::Tray => line.trays.unwrap_or(0),
                };
                let amount = amount.times(Ratio::whole(times.into()))?;
                self.ask(recipe, AskedBy::Product(line.product), amount);
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
            let recipe = &self.recipes.recipes[at];
            let asked = std::mem::take(&mut self.asked[at]);
            if asked.by.is_empty() {
                continue;
            }
            let (item, service_date) = (recipe.item, self.service_date);
            match self.batch(at, asked, plan, seeds) {
                Ok(batch) => {
                    self.pass_on(recipe, &batch)?;
                    batches.push(batch);
                }
                // One mistyped order must not take the morning from all others.
                Err(SplitError::TooManyLoads) => {
                    plan.findings.push(Finding::TooManyLoads { item, service_date });
                }
                Err(source) => {
                    let code = self.bakery.item(item).code.clone();
                    return Err(PlanError::Batch { code, service_date, source });
                }
            }
        }
        for batch in &mut batches {
            let recipe = &self.recipes.recipes[batch.recipe as usize];
            batch.made_at = self.made_at(recipe, batch, &mut plan.findings)?;
            if batch.split.under_minimum {
                plan.findings.push(Finding::UnderMinimum {
                    item: batch.item,
                    service_date: batch.service_date,
                });
            }
        }
        Ok(batches)
    }

    fn batch(
        &mut self,
        at: usize,
        asked: Asked,
        plan: &mut Plan,
        seeds: &mut Seeds,
    ) -> Result<Batch, SplitError> {
        let recipe = &self.recipes.recipes[at];
        let mut net = Ratio::ZERO;
        for ask in &asked.by {
            net = net.plus(ask.amount)?;
        }
        let from_stock = self.take_from_stock(recipe, &asked.by)?;
        for taken in &from_stock {
            net = net.minus(taken.credit)?;
        }
        let grossed = gross(recipe, net)?;
        let keep_back = seeds.keep_back(self.bakery, recipe, self.service_date, plan)?;
        // Only blocks ask for it, and nothing is lost on the way: whole blocks stay whole.
        let only_blocks = asked.by.len() == 1
            && recipe.remaining == Ratio::ONE
            && keep_back.is_zero()
            && from_stock.is_empty();
        let steps = grossed.steps.or(asked.steps.filter(|_| only_blocks));
        let mixer = recipe.mixer.map(|(mixer, _)| mixer);
        let split = if grossed.blocks.is_some() {
            no_loads()
        } else {
            split(SplitInput {
                mass: grossed.mass.plus(keep_back)?,
                steps,
                bowl: self.bowl(recipe),
            })?
        };
        let lines = self.recipes.lines_of(recipe);
        let groups = weigh_groups(self.bakery, recipe, lines, &split, plan)?;
        seeds.remember(self.bakery, recipe, (lines, &split), self.service_date)?;
        let mut batch = Batch {
            recipe: u32::try_from(at).map_err(|_| Overflow)?,
            item: recipe.item,
            service_date: self.service_date,
            feed: false,
            made_at: None,
            asked: asked.by,
            from_stock,
            net,
            gross: grossed.mass,
            keep_back,
            blocks: grossed.blocks,
            mixer,
            groups,
            issues: Vec::new(),
            pieces_per_load: Vec::new(),
            options: self.options(recipe, &split, grossed.mass.plus(keep_back)?)?,
            split,
        };
        batch.issues = issues::issues(self.bakery, recipe, lines, &batch, &plan.lines)?;
        batch.pieces_per_load = self.pieces_per_load(recipe, &batch)?;
        Ok(batch)
    }

    /// What made stock spares a batch.
    fn take_from_stock(
        &mut self,
        recipe: &Recipe,
        asked: &[Ask],
    ) -> Result<Vec<FromStock>, Overflow> {
        self.stock.credit(&CreditAsk {
            bakery: self.bakery,
            recipes: self.recipes,
            recipe,
            service_date: self.service_date,
            asked,
            start_of: &self.start_of,
        })
    }

    fn bowl(&self, recipe: &Recipe) -> Option<Bowl> {
        let (mixer, maximum_ug) = recipe.mixer?;
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

    /// What is issued becomes what is asked of the next level.
    fn pass_on(&mut self, recipe: &Recipe, batch: &Batch) -> Result<(), PlanError> {
        for issue in &batch.issues {
            if issue.previous_batch {
                continue;
            }
            let Some(used) = self.recipes.of_item(issue.item) else { continue };
            let amount = match self.recipes.recipes[used].driver {
                Driver::Batch { mass_ug: Some(mass), .. } if !issue.counted => {
                    issue.micro.over(mass)?
                }
                Driver::Batch { pieces_micro: Some(pieces), .. } => issue.micro.over(pieces)?,
                _ => issue.micro,
            };
            self.ask(used, AskedBy::Formula(recipe.item), amount);
            if let (Driver::Blocks { base, step, .. }, Some(blocks)) = (recipe.driver, batch.blocks)
                && base == issue.item
            {
                let count = blocks / step;
                let mass = issue.micro.over(Ratio::whole(count.max(1).into()))?;
                self.asked[used].steps = Some(Steps { count, mass });
            }
        }
        Ok(())
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

    /// Pieces over loads: equal floors, spare pieces heaviest first to the lightest load.
    fn pieces_per_load(
        &self,
        recipe: &Recipe,
        batch: &Batch,
    ) -> Result<Vec<LoadPieces>, SplitError> {
        // Pieces that are divided from kept dough are in no load.
        if batch.split.loads < 2 || !batch.from_stock.is_empty() {
            return Ok(Vec::new());
        }
        let mut products = Vec::new();
        for ask in &batch.asked {
            let AskedBy::Product(product) = ask.by else { continue };
            if self.recipes.dough_of(product) != Some(recipe.item) {
                continue;
            }
            let start = self.start_of[product as usize];
            if start > 0 {
                products.push((product, start, ask.amount.over(Ratio::whole(start.into()))?));
            }
        }
        if products.is_empty() {
            return Ok(Vec::new());
        }
        products.sort_by_key(|&(product, _, _)| product);
        let loads = batch.split.loads;
        let mut even = LoadPieces { pieces: Vec::new(), mass: Ratio::ZERO };
        for &(product, start, mass) in &products {
            let each = start / loads;
            even.pieces.push((product, each));
            even.mass = even.mass.plus(mass.times(Ratio::whole(each.into()))?)?;
        }
        let count = usize::try_from(loads).map_err(|_| Overflow)?;
        let mut over = vec![even; count];
        let mut heaviest_first: Vec<usize> = (0..products.len()).collect();
        // Stable: pieces of equal weight stay in listed order.
        heaviest_first.sort_by_key(|&at| std::cmp::Reverse(products[at].2));
        for at in heaviest_first {
            let (_, start, mass) = products[at];
            for _ in 0..start % loads {
                // A load takes one spare piece of a product at most.
                let open = over.iter_mut().filter(|load| load.pieces[at].1 == start / loads);
                if let Some(lightest) = open.min_by_key(|load| load.mass) {
                    lightest.pieces[at].1 += 1;
                    lightest.mass = lightest.mass.plus(mass)?;
                }
            }
        }
        Ok(over)
    }

    /// When a batch is made; a route that fits no hours is a finding, not an error.
    fn made_at(
        &self,
        recipe: &Recipe,
        batch: &Batch,
        findings: &mut Vec<Finding>,
    ) -> Result<Option<Timestamp>, PlanError> {
        let site = self.bakery.site();
        match &self.bakery.formula_of(recipe).made {
            Made::At { at, .. } => {
                Ok(Some(calendar::instant_at(&site.time_zone, self.service_date, *at)?))
            }
            Made::Products { step } => {
                findings.push(Finding::NoTime {
                    item: batch.item,
                    service_date: self.service_date,
                    step: step.clone(),
                });
                Ok(None)
            }
            Made::Step { route, step, drop } => {
                let Some(position) = self.bakery.index().route(route.as_str()) else {
                    return Ok(None);
                };
                let route = &self.bakery.lists().routes[position as usize];
                let drop = calendar::instant(&site.time_zone, self.service_date, *drop)?;
                let house = House { zone: &site.time_zone, teams: &site.teams };
                let pieces = batch.asked.iter().filter_map(|ask| match ask.by {
                    AskedBy::Product(product) => Some(self.start_of[product as usize]),
                    AskedBy::Formula(_) => None,
                });
                match schedule(house, route, (batch.split.loads, pieces.sum()), drop) {
                    Ok(times) => Ok(times
                        .iter()
                        .find(|time| route.steps[time.step].name == *step)
                        .map(|time| time.start)),
                    Err(ScheduleError::NoFit { step, .. }) => {
                        findings.push(Finding::NoTime {
                            item: batch.item,
                            service_date: self.service_date,
                            step,
                        });
                        Ok(None)
                    }
                    Err(ScheduleError::OutOfCalendar(error)) => Err(error.into()),
                }
            }
        }
    }
}

/// Laminated dough is folded block by block, not mixed.
const fn no_loads() -> Split {
    Split {
        groups: Vec::new(),
        loads: 0,
        residue: Ratio::ZERO,
        mass: Ratio::ZERO,
        under_minimum: false,
    }
}

/// Weighs the loads of a split, size by size.
fn weigh_groups(
    bakery: &Bakery,
    recipe: &Recipe,
    lines: &[RecipeLine],
    split: &Split,
    plan: &mut Plan,
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
        let start = u32::try_from(plan.lines.len()).map_err(|_| Overflow)?;
        let load = weigh(bakery.scales(), lines, factor, &mut plan.lines)?;
        groups.push(BatchGroup {
            group: *group,
            factor,
            lines: start..u32::try_from(plan.lines.len()).map_err(|_| Overflow)?,
            sum_ug: load.sum_ug,
            nudges: load.nudges,
            within_tolerance: load.within_tolerance,
            hydration_moved: load.hydration_moved,
        });
    }
    Ok(groups)
}
