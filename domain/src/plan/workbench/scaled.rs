//! A formula at another size: pieces, a mass, flour, or the largest that stock makes.
//!
//! As on the day: what each level weighs is what the next is asked for, every line in whole
//! divisions of its scale.

use crate::{
    bakery::{Bakery, Driver, Recipe, Recipes},
    book::Book,
    plan::{Plan, PlanError, needs::stock_draw, stock},
    quantity::{MICRO, Unit},
    ratio::{Overflow, Ratio},
    split::{Bowl, SplitError, SplitInput, split},
    weigh::{WeighedLine, exact, weigh, weigh_amount},
};
use jiff::{Timestamp, civil::Date};
use std::collections::{BTreeMap, BTreeSet};

/// How large a formula is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScaleTo {
    /// So many micrograms in the bowl.
    Mass(Ratio),
    /// So many micrograms of flour overall.
    Flour(Ratio),
    /// Start pieces that each take so many micrograms, losses and residue on top.
    Pieces {
        /// How many.
        pieces: i64,
        /// What one takes, in micrograms.
        each: Ratio,
    },
    /// The largest whole number of grams in the bowl that today's stock makes.
    Largest,
}

/// A load of a scaled formula; its lines as the recipe lists them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScaledLoad {
    /// How many of this size.
    pub loads: i64,
    /// What is in the bowl, in micrograms.
    pub mass: Ratio,
    /// Item, exact amount in micrograms or millionths, as weighed, whether it is counted.
    pub lines: Vec<(u32, Ratio, WeighedLine, bool)>,
    /// Sum of what is weighed into the bowl, in micrograms.
    pub sum_ug: i64,
}

/// One formula of a scaled one: itself, or what it is made of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScaledBatch {
    /// Position of the item that it makes.
    pub item: u32,
    /// Its loads by size.
    pub loads: Vec<ScaledLoad>,
}

/// A formula at another size.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Scaled {
    /// Itself first, then what it is made of, users before what they use.
    pub batches: Vec<ScaledBatch>,
    /// What leaves stock, by position of item, in millionths of its base unit.
    pub draws: BTreeMap<u32, i64>,
    /// Items of which a gram more would be too little, for the largest.
    pub ends_first: Vec<u32>,
}

/// Scales what makes an item on a date; none if nothing makes it then, or if stock makes none.
///
/// # Errors
/// [`PlanError`] if a number grows beyond exact arithmetic or a load fits no bowl.
pub fn scaled(
    bakery: &Bakery,
    book: &Book,
    (on, item, now): (Date, u32, Timestamp),
    to: ScaleTo,
) -> Result<Option<Scaled>, PlanError> {
    let recipes = bakery.recipes(on);
    let Some(at) = recipes.of_item(item) else { return Ok(None) };
    let wrong = |source| PlanError::Batch {
        code: bakery.item(item).code.clone(),
        service_date: on,
        source,
    };
    let size = match to {
        ScaleTo::Mass(mass) => Size::Bowl(mass),
        ScaleTo::Flour(flour) => match flour_share(bakery, recipes, item) {
            Some(share) => Size::Bowl(flour.over(share)?),
            None => return Ok(None),
        },
        ScaleTo::Pieces { pieces, each } => Size::Net(each.times(Ratio::whole(pieces.into()))?),
        ScaleTo::Largest => return largest(bakery, book, (recipes, at, now)),
    };
    sweep(bakery, recipes, at, size).map(Some).map_err(wrong)
}

#[derive(Debug, Clone, Copy)]
enum Size {
    /// In the bowl, as it is.
    Bowl(Ratio),
    /// What comes out of it after losses; residue is added.
    Net(Ratio),
}

/// Flour of a microgram in the bowl, sub-formulas' included; none without flour.
fn flour_share(bakery: &Bakery, recipes: &Recipes, item: u32) -> Option<Ratio> {
    let views = bakery.views(recipes, item)?;
    let sum: num_rational::BigRational =
        views.final_mix.iter().map(|(_, parts)| parts.clone()).sum();
    let share = views.flour_parts / sum;
    let part = |number: &num_bigint::BigInt| i128::try_from(number).ok();
    let share = Ratio::new(part(share.numer())?, part(share.denom())?).ok()?;
    share.is_positive().then_some(share)
}

/// The largest whole grams that fit today's usable stock.
fn largest(
    bakery: &Bakery,
    book: &Book,
    (recipes, at, now): (&Recipes, usize, Timestamp),
) -> Result<Option<Scaled>, PlanError> {
    let grams = |grams: i64| Size::Bowl(Ratio::whole(i128::from(grams) * i128::from(MICRO)));
    let mut stock = Stock { bakery, book, now, there: BTreeMap::new() };
    let mut try_at = |size: i64| -> Result<(Option<Scaled>, Vec<u32>), PlanError> {
        let Ok(found) = sweep(bakery, recipes, at, grams(size)) else {
            return Ok((None, Vec::new()));
        };
        let short = stock.short(&found)?;
        Ok(if short.is_empty() { (Some(found), short) } else { (None, short) })
    };
    let mut fits = 0;
    let mut best = None;
    let mut ends_first = Vec::new();
    // Doubling finds the span, halving the gram in it.
    let mut step = 1_i64;
    while fits + step <= GRAMS_MAX {
        match try_at(fits + step)? {
            (Some(found), _) => {
                (fits, best) = (fits + step, Some(found));
                step *= 2;
            }
            (None, short) => {
                ends_first = short;
                break;
            }
        }
    }
    while step > 0 {
        if fits + step > GRAMS_MAX {
            // What draws nothing that is counted would fit without end.
            step /= 2;
            continue;
        }
        match try_at(fits + step)? {
            (Some(found), _) => (fits, best) = (fits + step, Some(found)),
            (None, short) => {
                ends_first = short;
                step /= 2;
            }
        }
    }
    Ok(best.map(|found| Scaled { ends_first, ..found }))
}

/// Beyond this nobody mixes.
const GRAMS_MAX: i64 = 100_000_000;

/// What is usable now, by item.
struct Stock<'a> {
    bakery: &'a Bakery,
    book: &'a Book,
    now: Timestamp,
    there: BTreeMap<u32, i64>,
}

impl Stock<'_> {
    /// Items of which more would leave than is usable.
    fn short(&mut self, found: &Scaled) -> Result<Vec<u32>, PlanError> {
        let mut short = Vec::new();
        for (&item, &micro) in &found.draws {
            let there = match self.there.get(&item) {
                Some(&there) => there,
                None => {
                    let plan = Plan::default();
                    let lots =
                        stock::shelves(self.bakery, self.book, &plan, item, self.now)?.usable;
                    let usable = lots.iter().filter(|lot| {
                        lot.from.is_none_or(|from| from <= self.now)
                            && lot.until.is_none_or(|until| until >= self.now)
                    });
                    let there = usable.map(|lot| lot.micro.max(0)).sum();
                    self.there.insert(item, there);
                    there
                }
            };
            if micro > there {
                short.push(item);
            }
        }
        Ok(short)
    }
}

fn sweep(bakery: &Bakery, recipes: &Recipes, top: usize, size: Size) -> Result<Scaled, SplitError> {
    let mut sweep = Sweep {
        bakery,
        recipes,
        asked: BTreeMap::from([(top, Ratio::ZERO)]),
        issued: BTreeMap::new(),
        found: Scaled::default(),
    };
    sweep.make(top, size)?;
    for at in top + 1..recipes.recipes.len() {
        if let Some(&asked) = sweep.asked.get(&at) {
            sweep.make(at, Size::Net(asked))?;
        }
    }
    sweep.draw()?;
    Ok(sweep.found)
}

struct Sweep<'a> {
    bakery: &'a Bakery,
    recipes: &'a Recipes,
    /// What is asked of each recipe: micrograms, or batches.
    asked: BTreeMap<usize, Ratio>,
    /// What is taken of bought things, weighed or counted.
    issued: BTreeMap<(u32, bool), Ratio>,
    found: Scaled,
}

impl Sweep<'_> {
    fn make(&mut self, at: usize, size: Size) -> Result<(), SplitError> {
        let recipe = &self.recipes.recipes[at];
        match recipe.driver {
            Driver::Mass => self.mix(recipe, size),
            Driver::Batch { step, bowl_ug, .. } => {
                let batches = match size {
                    Size::Bowl(mass) if bowl_ug.is_positive() => mass.over(bowl_ug)?,
                    Size::Bowl(batches) => batches,
                    Size::Net(asked) => {
                        let steps = asked.over(recipe.remaining)?.over(step)?.ceil();
                        Ratio::whole(steps).times(step)?
                    }
                };
                self.load(recipe, (1, bowl_ug.times(batches)?), batches)
            }
            Driver::Blocks { base, sheet, sheet_ug, ratio, step } => {
                let all = match size {
                    Size::Bowl(mass) => mass,
                    Size::Net(asked) => asked.over(recipe.remaining)?,
                };
                let fat = all.times(ratio)?.over(Ratio::ONE.plus(ratio)?)?;
                let one = sheet_ug.times(Ratio::whole(step.into()))?;
                let blocks =
                    Ratio::whole(fat.over(one)?.ceil()).times(Ratio::whole(step.into()))?;
                self.fold(recipe, (base, sheet), (sheet_ug, ratio), blocks)
            }
        }
    }

    /// A mass over the loads of its mixer, each weighed alike.
    fn mix(&mut self, recipe: &Recipe, size: Size) -> Result<(), SplitError> {
        let bowl = recipe.mixer.map(|(mixer, most)| {
            let mixer = &self.bakery.lists().mixers[mixer as usize];
            let residue = match size {
                Size::Bowl(_) => Ratio::ZERO,
                Size::Net(_) => mixer.residue(),
            };
            Bowl { minimum: Ratio::ZERO, maximum: Ratio::whole(most.into()), residue }
        });
        let mass = match size {
            Size::Bowl(mass) => mass,
            Size::Net(asked) => asked.over(recipe.remaining)?,
        };
        let found = split(SplitInput { mass, steps: None, bowl })?;
        for group in found.groups {
            let factor = group.mass.over(Ratio::whole(recipe.parts_sum.into()))?;
            self.load(recipe, (group.loads, group.mass), factor)?;
        }
        Ok(())
    }

    fn load(
        &mut self,
        recipe: &Recipe,
        (loads, mass): (i64, Ratio),
        factor: Ratio,
    ) -> Result<(), SplitError> {
        let lines = self.recipes.lines_of(recipe);
        let mut weighed = Vec::with_capacity(lines.len());
        let sum_ug = weigh(self.bakery.scales(), lines, factor, &mut weighed)?.sum_ug;
        let mut found = Vec::with_capacity(lines.len());
        for (line, weighed) in lines.iter().zip(weighed) {
            let counted = line.flags.counted();
            found.push((line.item, exact(line, factor)?, weighed, counted));
            let all = Ratio::whole(i128::from(weighed.micro) * i128::from(loads));
            if !line.flags.previous_batch() {
                self.take(line.item, all, counted)?;
            }
        }
        self.push(recipe, ScaledLoad { loads, mass, lines: found, sum_ug });
        Ok(())
    }

    fn fold(
        &mut self,
        recipe: &Recipe,
        (base, sheet): (u32, u32),
        (sheet_ug, ratio): (Ratio, Ratio),
        blocks: Ratio,
    ) -> Result<(), SplitError> {
        let counted = self.bakery.item(sheet).base_unit == Unit::Each;
        let dough = sheet_ug.over(ratio)?.times(blocks)?;
        let one = if counted { Ratio::whole(MICRO.into()) } else { sheet_ug };
        let sheets = one.times(blocks)?;
        let fat = sheet_ug.times(blocks)?;
        let plain = |micro: Ratio| -> Result<WeighedLine, Overflow> {
            let line = weigh_amount(self.bakery.scales(), micro)?;
            let micro = i64::try_from(micro.round_half_up()?).map_err(|_| Overflow)?;
            Ok(WeighedLine { weighing: None, micro, ..line })
        };
        let lines =
            vec![(base, dough, plain(dough)?, false), (sheet, sheets, plain(sheets)?, counted)];
        let mass = dough.plus(fat)?;
        let sum_ug = i64::try_from(mass.round_half_up()?).map_err(|_| Overflow)?;
        self.take(base, dough, false)?;
        self.take(sheet, sheets, counted)?;
        self.push(recipe, ScaledLoad { loads: 1, mass, lines, sum_ug });
        Ok(())
    }

    fn push(&mut self, recipe: &Recipe, load: ScaledLoad) {
        match self.found.batches.last_mut().filter(|batch| batch.item == recipe.item) {
            Some(batch) => batch.loads.push(load),
            None => {
                self.found.batches.push(ScaledBatch { item: recipe.item, loads: vec![load] });
            }
        }
    }

    fn take(&mut self, item: u32, micro: Ratio, counted: bool) -> Result<(), Overflow> {
        let Some(at) = self.recipes.of_item(item) else {
            let sum = self.issued.entry((item, counted)).or_insert(Ratio::ZERO);
            *sum = sum.plus(micro)?;
            return Ok(());
        };
        let amount = match self.recipes.recipes[at].driver {
            Driver::Batch { mass_ug: Some(mass), .. } if !counted => micro.over(mass)?,
            Driver::Batch { pieces_micro: Some(pieces), .. } => micro.over(pieces)?,
            _ => micro,
        };
        let sum = self.asked.entry(at).or_insert(Ratio::ZERO);
        *sum = sum.plus(amount)?;
        Ok(())
    }

    /// What leaves stock: whole fruits for the larger of their outputs, all else by its draw.
    fn draw(&mut self) -> Result<(), Overflow> {
        let index = self.bakery.index();
        let mut fruits: BTreeMap<u32, BTreeSet<i64>> = BTreeMap::new();
        for (&(item, counted), &micro) in &self.issued {
            let found = self.bakery.item(item);
            if let Some(fruit) = index.fruit_of(item) {
                let joint = self.bakery.item(fruit).joint.as_ref();
                let outputs = joint.into_iter().flat_map(|joint| &joint.outputs);
                for output in outputs.filter(|output| output.item == found.code) {
                    let pieces = micro.over(output.yields.ratio())?.ceil();
                    let pieces = i64::try_from(pieces).map_err(|_| Overflow)?;
                    fruits.entry(fruit).or_default().insert(pieces);
                }
            } else if found.stocked {
                let drawn = stock_draw(found, micro, counted)?;
                let sum = self.found.draws.entry(item).or_insert(0);
                *sum = sum.checked_add(drawn).ok_or(Overflow)?;
            }
        }
        for (fruit, pieces) in fruits {
            let most = pieces.last().copied().unwrap_or(0);
            let micro = most.checked_mul(MICRO).ok_or(Overflow)?;
            if self.bakery.item(fruit).stocked {
                let sum = self.found.draws.entry(fruit).or_insert(0);
                *sum = sum.checked_add(micro).ok_or(Overflow)?;
            }
        }
        Ok(())
    }
}
