//! The masses that standard cost stands on: the pieces of some dates through all levels, with
//! losses, residue, whole pans and blocks, but nothing rounded to a scale.

use super::{Setting, Terms};
use crate::{
    bakery::{Bakery, CompiledMakeUp, Driver, Recipe, Recipes},
    demand::PieceLine,
    figure::Figure,
    product::Per,
    quantity::{MICRO, Unit},
    ratio::Ratio,
};
use num_bigint::BigInt;
use std::collections::BTreeMap;

/// How a made thing comes about.
#[derive(Debug, Clone)]
pub(super) enum Making {
    /// Its lines by their parts; so much of what is mixed is charged to its users, in
    /// micrograms: all but the seed that is kept for the next build.
    Mixed(Figure),
    /// So many batches of counted things, which weigh nothing.
    Counted(Figure),
    /// Folded blocks: micrograms of base dough; sheets in micrograms or millionths.
    Blocks(Figure, Figure),
}

/// One made thing of one service date.
#[derive(Debug, Clone)]
pub(super) struct Made {
    /// What its users take: micrograms, or batches of what is made by the batch.
    pub(super) net: Figure,
    /// How it comes about.
    pub(super) making: Making,
}

/// All made things of one service date, by recipe.
pub(super) type Masses = Vec<Option<Made>>;

/// Sweeps the dates of a setting, later ones first, users before what they use.
pub(super) fn masses(bakery: &Bakery, setting: Setting<'_>, terms: Terms) -> Vec<Masses> {
    let mut next_seed: BTreeMap<u32, Figure> = BTreeMap::new();
    let mut found = Vec::with_capacity(setting.dates.len());
    for &date in setting.dates.iter().rev() {
        let recipes = terms.recipes(bakery, date);
        let yields = terms.yields(bakery, date);
        let asked = vec![Figure::zero(); recipes.recipes.len()];
        let mut sweep = Sweep { bakery, recipes, yields, asked, steps: BTreeMap::new() };
        for line in setting.pieces_of(date) {
            sweep.ask_for_pieces(line);
        }
        let made = |at: usize| {
            let asked = !sweep.asked[at].is_zero();
            asked.then(|| sweep.make(at, &recipes.recipes[at], &mut next_seed))
        };
        found.push((0..recipes.recipes.len()).map(made).collect());
    }
    found.reverse();
    found
}

/// What is left of a gram of a recipe after its losses, as they were in force.
pub(super) fn remaining(yields: &Recipes, recipe: &Recipe) -> Ratio {
    let stated = yields.of_item(recipe.item).map(|at| yields.recipes[at].remaining);
    stated.unwrap_or(recipe.remaining)
}

/// An amount of an item as its recipe counts what it makes: batches for micrograms or pieces.
pub(super) fn in_net_unit(recipe: &Recipe, micro: &Figure, counted: bool) -> Figure {
    match recipe.driver {
        Driver::Batch { mass_ug: Some(mass), .. } if !counted => micro.over(&mass.into()),
        Driver::Batch { pieces_micro: Some(pieces), .. } => micro.over(&pieces.into()),
        _ => micro.clone(),
    }
}

struct Sweep<'a> {
    bakery: &'a Bakery,
    recipes: &'a Recipes,
    yields: &'a Recipes,
    /// What is asked of each recipe.
    asked: Vec<Figure>,
    /// Whole steps that the only user asks of a recipe: how many, and what one weighs.
    steps: BTreeMap<usize, (BigInt, Figure)>,
}

impl Sweep<'_> {
    fn ask_for_pieces(&mut self, line: &PieceLine) {
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
            self.ask(recipe, Figure::from(amount).times(&Figure::whole(times)));
        }
    }

    fn ask(&mut self, recipe: usize, amount: Figure) {
        if !amount.is_zero() {
            // A second user: whole steps of the first are no longer all of it.
            if !self.asked[recipe].is_zero() {
                self.steps.remove(&recipe);
            }
            self.asked[recipe] = self.asked[recipe].plus(&amount);
        }
    }

    fn make(&mut self, at: usize, recipe: &Recipe, next_seed: &mut BTreeMap<u32, Figure>) -> Made {
        let net = self.asked[at].clone();
        let left = remaining(self.yields, recipe);
        let gross = net.over(&left.into());
        let making = match recipe.driver {
            Driver::Mass => {
                let keep_back = self.keep_back(recipe, next_seed);
                let mass = gross.plus(&keep_back);
                let whole = left == Ratio::ONE && keep_back.is_zero();
                let steps = self.steps.get(&at).filter(|_| whole);
                let charged = gross.plus(&self.residue(recipe, &mass, steps));
                let mixed = charged.plus(&keep_back);
                let factor = mixed.over(&Figure::whole(recipe.parts_sum));
                let seed = self.take(recipe, &factor);
                if seed > 0 {
                    next_seed.insert(recipe.item, factor.times(&Figure::whole(seed)));
                }
                Making::Mixed(charged)
            }
            Driver::Batch { step, bowl_ug, .. } => {
                let batches = Figure::from(gross.over(&step.into()).ceil()).times(&step.into());
                self.take(recipe, &batches);
                if bowl_ug.is_zero() {
                    Making::Counted(batches)
                } else {
                    Making::Mixed(batches.times(&bowl_ug.into()))
                }
            }
            Driver::Blocks { base, sheet, sheet_ug, ratio, step } => {
                let (ratio, sheet_ug) = (Figure::from(ratio), Figure::from(sheet_ug));
                let fat = gross.times(&ratio).over(&Figure::whole(1).plus(&ratio));
                let steps = fat.over(&sheet_ug.times(&Figure::whole(step))).ceil();
                self.take_blocks((base, sheet), steps, step, (&sheet_ug, &ratio))
            }
        };
        Made { net, making }
    }

    /// Levain: the exact seed of the next build, or what the last one keeps.
    fn keep_back(&self, recipe: &Recipe, next_seed: &BTreeMap<u32, Figure>) -> Figure {
        let after_last = self.bakery.formula_of(recipe).keep_back_after_last;
        match (after_last, next_seed.get(&recipe.item)) {
            (None, _) => Figure::zero(),
            (Some(_), Some(seed)) => seed.clone(),
            (Some(kept), None) => kept.ratio().into(),
        }
    }

    /// What stays in the bowls of as few loads as take a mass.
    fn residue(&self, recipe: &Recipe, mass: &Figure, steps: Option<&(BigInt, Figure)>) -> Figure {
        let Some((mixer, maximum_ug)) = recipe.mixer else { return Figure::zero() };
        let residue = Figure::from(self.bakery.lists().mixers[mixer as usize].residue());
        let room = Figure::whole(maximum_ug).minus(&residue);
        if mass.is_zero() || !room.is_positive() {
            return Figure::zero();
        }
        let loads = match steps {
            Some((count, step)) => {
                let most = Figure::from(room.over(step).floor());
                Figure::from(count.clone()).over(&most).ceil()
            }
            None => mass.over(&room).ceil(),
        };
        Figure::from(loads).times(&residue)
    }

    /// Asks for what the lines of a recipe take, so many times their parts; returns the parts
    /// of its own seed.
    fn take(&mut self, recipe: &Recipe, factor: &Figure) -> i64 {
        let mut seed = 0;
        for line in self.recipes.lines_of(recipe) {
            if line.flags.previous_batch() {
                seed += if line.item == recipe.item { line.parts } else { 0 };
            } else if self.recipes.of_item(line.item).is_some() {
                let micro = factor.times(&Figure::whole(line.parts));
                self.pass_on(line.item, &micro, line.flags.counted());
            }
        }
        seed
    }

    fn take_blocks(
        &mut self,
        (base, sheet): (u32, u32),
        steps: BigInt,
        step: i64,
        (sheet_ug, ratio): (&Figure, &Figure),
    ) -> Making {
        let per_step = sheet_ug.over(ratio).times(&Figure::whole(step));
        let count = Figure::from(steps.clone());
        let dough = count.times(&per_step);
        let first = self.recipes.of_item(base).filter(|&used| self.asked[used].is_zero());
        self.pass_on(base, &dough, false);
        if let Some(used) = first {
            self.steps.insert(used, (steps, per_step));
        }
        let counted = self.bakery.item(sheet).base_unit == Unit::Each;
        let one = if counted { Figure::whole(MICRO) } else { sheet_ug.clone() };
        let sheets = count.times(&Figure::whole(step)).times(&one);
        self.pass_on(sheet, &sheets, counted);
        Making::Blocks(dough, sheets)
    }

    fn pass_on(&mut self, item: u32, micro: &Figure, counted: bool) {
        let Some(used) = self.recipes.of_item(item) else { return };
        self.ask(used, in_net_unit(&self.recipes.recipes[used], micro, counted));
    }
}
