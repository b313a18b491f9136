//! The masses that standard cost stands on: the plan's pieces through all levels, with
//! losses, residue, whole pans and blocks, but nothing rounded to a scale.

use crate::{
    bakery::{Bakery, CompiledMakeUp, Driver, Recipe, Recipes},
    demand::PieceLine,
    plan::Plan,
    product::Per,
    quantity::{MICRO, Unit},
    ratio::Ratio,
};
use jiff::civil::Date;
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One, Zero};
use std::collections::BTreeMap;

/// What a made thing takes of one item.
#[derive(Debug, Clone)]
pub(super) struct Input {
    /// Position of the item.
    pub item: u32,
    /// Micrograms, or millionths of a piece if it is counted.
    pub micro: BigRational,
    /// Whether it is counted and not weighed.
    pub counted: bool,
}

/// One made thing of one service date; masses in micrograms.
#[derive(Debug, Clone, Default)]
pub(super) struct Made {
    /// What its users take: micrograms, or batches of what is made by the batch.
    pub net: BigRational,
    /// All that is mixed, residue included.
    pub mixed: BigRational,
    /// Seed from its own batch before.
    pub seed: BigRational,
    /// Seed kept for the next build.
    pub keep_back: BigRational,
    /// What goes in, its own seed left out.
    pub inputs: Vec<Input>,
}

/// All made things of a plan by service date and item.
pub(super) type Masses = BTreeMap<(Date, u32), Made>;

/// Sweeps the dates of a plan, later ones first, users before what they use.
pub(super) fn masses(bakery: &Bakery, plan: &Plan) -> Masses {
    let mut found = Masses::new();
    let mut next_seed: BTreeMap<u32, BigRational> = BTreeMap::new();
    for &date in plan.dates.iter().rev() {
        let recipes = bakery.recipes(date);
        let mut sweep = Sweep {
            bakery,
            recipes,
            asked: vec![BigRational::zero(); recipes.recipes.len()],
            steps: BTreeMap::new(),
        };
        let from = plan.demand.pieces.partition_point(|line| line.service_date < date);
        for line in plan.demand.pieces.tail(from).take_while(|line| line.service_date == date) {
            sweep.ask_for_pieces(line);
        }
        for at in 0..recipes.recipes.len() {
            if !sweep.asked[at].is_zero() {
                let recipe = &recipes.recipes[at];
                let made = sweep.make(at, recipe, &mut next_seed);
                found.insert((date, recipe.item), made);
            }
        }
    }
    found
}

struct Sweep<'a> {
    bakery: &'a Bakery,
    recipes: &'a Recipes,
    /// What is asked of each recipe.
    asked: Vec<BigRational>,
    /// Whole steps that the only user asks of a recipe: how many, and what one weighs.
    steps: BTreeMap<usize, (BigInt, BigRational)>,
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
            self.ask(recipe, amount.to_big() * whole(times));
        }
    }

    fn ask(&mut self, recipe: usize, amount: BigRational) {
        if !amount.is_zero() {
            // A second user: whole steps of the first are no longer all of it.
            if !self.asked[recipe].is_zero() {
                self.steps.remove(&recipe);
            }
            self.asked[recipe] += amount;
        }
    }

    fn make(
        &mut self,
        at: usize,
        recipe: &Recipe,
        next_seed: &mut BTreeMap<u32, BigRational>,
    ) -> Made {
        let net = self.asked[at].clone();
        let gross = &net / recipe.remaining.to_big();
        let keep_back = self.keep_back(recipe, next_seed);
        let mut made = Made { net, keep_back, ..Made::default() };
        match recipe.driver {
            Driver::Mass => {
                let mass = gross + &made.keep_back;
                let steps = self
                    .steps
                    .get(&at)
                    .filter(|_| recipe.remaining == Ratio::ONE && made.keep_back.is_zero());
                let residue = self.residue(recipe, &mass, steps);
                made.mixed = mass + residue;
                let factor = &made.mixed / whole(recipe.parts_sum);
                self.take(recipe, &factor, &mut made);
            }
            Driver::Batch { step, bowl_ug, .. } => {
                let step = step.to_big();
                let batches = (gross / &step).ceil() * step;
                made.mixed = &batches * bowl_ug.to_big();
                self.take(recipe, &batches, &mut made);
            }
            Driver::Blocks { base, sheet, sheet_ug, ratio, step } => {
                let (ratio, sheet_ug) = (ratio.to_big(), sheet_ug.to_big());
                let fat = gross * &ratio / (BigRational::one() + &ratio);
                let steps = (fat / (&sheet_ug * whole(step))).ceil();
                let per_step = &sheet_ug / &ratio * whole(step);
                self.take_blocks((base, sheet), &steps, step, (&sheet_ug, &per_step), &mut made);
            }
        }
        if made.seed > BigRational::zero() {
            next_seed.insert(recipe.item, made.seed.clone());
        }
        made
    }

    /// Levain: the exact seed of the next build, or what the last one keeps.
    fn keep_back(&self, recipe: &Recipe, next_seed: &BTreeMap<u32, BigRational>) -> BigRational {
        let after_last = self.bakery.formula_of(recipe).keep_back_after_last;
        match (after_last, next_seed.get(&recipe.item)) {
            (None, _) => BigRational::zero(),
            (Some(_), Some(seed)) => seed.clone(),
            (Some(kept), None) => kept.ratio().to_big(),
        }
    }

    /// What stays in the bowls of as few loads as take a mass.
    fn residue(
        &self,
        recipe: &Recipe,
        mass: &BigRational,
        steps: Option<&(BigInt, BigRational)>,
    ) -> BigRational {
        let Some((mixer, maximum_ug)) = recipe.mixer else { return BigRational::zero() };
        let residue = self.bakery.lists().mixers[mixer as usize].residue().to_big();
        let room = whole(maximum_ug) - &residue;
        if mass.is_zero() || room <= BigRational::zero() {
            return BigRational::zero();
        }
        let loads = match steps {
            Some((count, step)) => {
                let most = (room / step).floor();
                if most.is_zero() {
                    return BigRational::zero();
                }
                (BigRational::from_integer(count.clone()) / most).ceil()
            }
            None => (mass / room).ceil(),
        };
        loads * residue
    }

    /// Takes the lines of a recipe, so many times their parts.
    fn take(&mut self, recipe: &Recipe, factor: &BigRational, made: &mut Made) {
        for line in self.recipes.lines_of(recipe) {
            let micro = factor * whole(line.parts);
            if line.flags.previous_batch() && line.item == recipe.item {
                made.seed += micro;
                continue;
            }
            let counted = line.flags.counted();
            if !line.flags.previous_batch() {
                self.pass_on(line.item, &micro, counted);
            }
            made.inputs.push(Input { item: line.item, micro, counted });
        }
    }

    fn take_blocks(
        &mut self,
        (base, sheet): (u32, u32),
        steps: &BigRational,
        step: i64,
        (sheet_ug, per_step): (&BigRational, &BigRational),
        made: &mut Made,
    ) {
        let dough = steps * per_step;
        let first = self.recipes.of_item(base).filter(|&used| self.asked[used].is_zero());
        self.pass_on(base, &dough, false);
        if let Some(used) = first {
            self.steps.insert(used, (steps.to_integer(), per_step.clone()));
        }
        made.inputs.push(Input { item: base, micro: dough, counted: false });
        let counted = self.bakery.item(sheet).base_unit == Unit::Each;
        let blocks = steps * whole(step);
        let micro = if counted { blocks * whole(MICRO) } else { blocks * sheet_ug };
        self.pass_on(sheet, &micro, counted);
        made.inputs.push(Input { item: sheet, micro, counted });
    }

    fn pass_on(&mut self, item: u32, micro: &BigRational, counted: bool) {
        let Some(used) = self.recipes.of_item(item) else { return };
        let amount = match self.recipes.recipes[used].driver {
            Driver::Batch { mass_ug: Some(mass), .. } if !counted => micro / mass.to_big(),
            Driver::Batch { pieces_micro: Some(pieces), .. } => micro / pieces.to_big(),
            _ => micro.clone(),
        };
        self.ask(used, amount);
    }
}

fn whole(value: i64) -> BigRational {
    BigRational::from_integer(BigInt::from(value))
}
