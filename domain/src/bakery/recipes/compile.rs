//! One formula version after another, sub-formulas first.

use super::{Driver, LineFlags, NO_RECIPE, Recipe, RecipeLine, Recipes, final_mix};
use crate::{
    bakery::{BakeryDraft, Index, composition},
    fault::{FaultKind, Faults},
    formula::{Base, Blocks, Formula, LineAmount},
    id::Code,
    item::{Item, Supply},
    quantity::{MICRO, Quantity, Unit},
    ratio::{Overflow, Ratio},
};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// Positions of the versions that hold on a date, one for each code.
pub(super) fn versions_on(draft: &BakeryDraft, on: Date) -> Vec<u32> {
    let mut chosen: BTreeMap<&Code, u32> = BTreeMap::new();
    for (position, formula) in (0_u32..).zip(&draft.formulas) {
        let newer = |held: &u32| {
            let held = draft.formulas[*held as usize].valid_from;
            // Before its first version a formula is read as that version.
            if held > on {
                formula.valid_from < held
            } else {
                formula.valid_from <= on && formula.valid_from > held
            }
        };
        if chosen.get(&formula.code).is_none_or(newer) {
            chosen.insert(&formula.code, position);
        }
    }
    let mut positions: Vec<u32> = chosen.into_values().collect();
    positions.sort_unstable();
    positions
}

pub(super) struct Compiler<'a> {
    pub(super) draft: &'a BakeryDraft,
    pub(super) index: &'a Index,
    reversed: Vec<(Recipe, Vec<RecipeLine>)>,
    /// The date on which the versions, and the prices, hold.
    pub(super) on: Date,
    recipe_of_item: Vec<u32>,
    /// Items that can be made or bought, of which a price is missing.
    undecided: Vec<u32>,
    count: u32,
    /// Items whose recipe, or one that it uses, could not be compiled.
    broken: BTreeSet<u32>,
}

/// Why a recipe could not be compiled; its fault is noted already, or it overflowed.
pub(super) enum Stop {
    Noted,
    Overflow,
}

impl From<Overflow> for Stop {
    fn from(Overflow: Overflow) -> Self {
        Self::Overflow
    }
}

impl<'a> Compiler<'a> {
    pub(super) fn new(
        draft: &'a BakeryDraft,
        index: &'a Index,
        (on, order): (Date, &[(u32, u32)]),
    ) -> Self {
        Self {
            draft,
            index,
            on,
            undecided: Vec::new(),
            reversed: Vec::with_capacity(order.len()),
            recipe_of_item: vec![NO_RECIPE; draft.items.len()],
            count: u32::try_from(order.len()).unwrap_or(u32::MAX),
            broken: BTreeSet::new(),
        }
    }

    /// The recipe and lines that make an item, if they are compiled already.
    pub(super) fn compiled(&self, item: u32) -> Option<(&Recipe, &[RecipeLine])> {
        let recipe = self.recipe_of_item[item as usize];
        let from_end = self.count.checked_sub(recipe)?.checked_sub(1)?;
        let (recipe, lines) = self.reversed.get(from_end as usize)?;
        Some((recipe, lines))
    }

    pub(super) fn add(&mut self, position: u32, level: u32, left_out: bool, faults: &mut Faults) {
        let formula = &self.draft.formulas[position as usize];
        let outcome =
            if left_out { Err(Stop::Noted) } else { self.recipe(position, level, faults) };
        if matches!(outcome, Err(Stop::Overflow)) {
            faults.add(
                format_args!("/formulas/{position}"),
                FaultKind::OutOfRange,
                format!(
                    "formula `{}` has figures too fine or too large to compute with",
                    formula.code
                ),
            );
        }
        if outcome.is_err() || self.uses_broken(formula) {
            self.broken.extend(self.index.item(formula.code.as_str()));
        }
        // A placeholder keeps positions right while further faults are collected.
        let compiled = outcome.or_else(|_| self.placeholder(position, level).ok_or(()));
        let Ok((recipe, lines)) = compiled else { return };
        let at = self.count - 1 - u32::try_from(self.reversed.len()).unwrap_or(0);
        let item = &self.draft.items[recipe.item as usize];
        let made = match item.supply {
            Supply::Made => Ok(Some(true)),
            Supply::Bought => Ok(Some(false)),
            Supply::Cheapest => self.making_costs_less(&recipe, &lines),
        };
        // Numbers that are too large decide nothing either.
        let made = made.unwrap_or(None);
        if made.is_none() {
            self.undecided.push(recipe.item);
        }
        if made == Some(true) {
            self.recipe_of_item[recipe.item as usize] = at;
        }
        self.reversed.push((recipe, lines));
    }

    /// Whether an item's recipe, or one that it uses, could not be compiled.
    pub(super) fn is_broken(&self, item: u32) -> bool {
        self.broken.contains(&item)
    }

    fn uses_broken(&self, formula: &Formula) -> bool {
        let broken =
            |code: &Code| self.index.item(code.as_str()).is_some_and(|item| self.is_broken(item));
        match &formula.base {
            Base::Blocks(blocks) => broken(&blocks.base) || broken(&blocks.sheet),
            _ => formula.lines.iter().any(|line| broken(&line.item)),
        }
    }

    fn placeholder(&self, position: u32, level: u32) -> Option<(Recipe, Vec<RecipeLine>)> {
        let item = self.index.item(self.draft.formulas[position as usize].code.as_str())?;
        let recipe = Recipe {
            formula: position,
            item,
            level,
            driver: Driver::Mass,
            lines: 0..0,
            parts_sum: 1,
            remaining: Ratio::ONE,
            mixer: None,
            parts_scale: 1,
            has_flour: false,
            distinct_items: true,
        };
        Some((recipe, Vec::new()))
    }

    fn recipe(
        &self,
        position: u32,
        level: u32,
        faults: &mut Faults,
    ) -> Result<(Recipe, Vec<RecipeLine>), Stop> {
        let formula = &self.draft.formulas[position as usize];
        let item = self.index.item(formula.code.as_str()).ok_or(Stop::Noted)?;
        let mut remaining = Ratio::ONE;
        for loss in &formula.losses {
            remaining = remaining.times(loss.percent.left_after_percent()?)?;
        }
        let (driver, parts_scale, lines) = self.driver(position, item, faults)?;
        let parts_sum = lines.iter().map(|line| line.parts).sum::<i64>().max(1);
        let recipe = Recipe {
            formula: position,
            item,
            level,
            driver,
            lines: 0..0,
            parts_sum,
            remaining,
            mixer: self.mixer(formula),
            parts_scale,
            has_flour: lines.iter().any(|line| line.flags.flour()),
            distinct_items: distinct(&lines),
        };
        if matches!(formula.base, Base::PercentOfFlour(_)) && !self.uses_broken(formula) {
            composition::check_flour(
                self.draft,
                &recipe,
                &lines,
                &|item| self.compiled(item),
                faults,
            );
        }
        self.check_mixer(&recipe, formula, position, faults)?;
        Ok((recipe, lines))
    }

    fn driver(
        &self,
        position: u32,
        item: u32,
        faults: &mut Faults,
    ) -> Result<(Driver, i64, Vec<RecipeLine>), Stop> {
        let formula = &self.draft.formulas[position as usize];
        Ok(match &formula.base {
            Base::Blocks(blocks) => (self.blocks(blocks)?, 1, Vec::new()),
            Base::PercentOfFlour(_) | Base::Parts => {
                let (scale, lines) = final_mix::lines(self, position, formula, faults)?;
                (Driver::Mass, scale, lines)
            }
            Base::PerBatch { step, makes } => {
                let lines = self.batch_lines(position, formula, faults)?;
                (self.batch(&lines, makes.map(Quantity::ratio), None, *step)?, 1, lines)
            }
            Base::PerPieces { pieces, step } | Base::PerTray { pieces, step } => {
                let lines = self.batch_lines(position, formula, faults)?;
                let made = &self.draft.items[item as usize];
                let pieces = pieces.ratio();
                let mass = match made.grams_per_base_unit() {
                    Some(grams) if made.base_unit == Unit::Each => Some(pieces.times(grams)?),
                    _ => None,
                };
                (self.batch(&lines, mass, Some(pieces), *step)?, 1, lines)
            }
        })
    }

    fn mixer(&self, formula: &Formula) -> Option<(u32, i64)> {
        let mixer = self.index.mixer(formula.mixer.as_ref()?.as_str())?;
        let class = formula.dough_class.as_deref()?;
        let most = self.draft.mixers[mixer as usize].maximum_ug(class)?;
        Some((mixer, most))
    }

    fn blocks(&self, blocks: &Blocks) -> Result<Driver, Stop> {
        Ok(Driver::Blocks {
            base: self.index.item(blocks.base.as_str()).ok_or(Stop::Noted)?,
            sheet: self.index.item(blocks.sheet.as_str()).ok_or(Stop::Noted)?,
            sheet_ug: blocks.sheet_mass.ratio(),
            ratio: blocks.percent.over(Ratio::whole(100))?,
            step: blocks.step,
        })
    }

    fn batch(
        &self,
        lines: &[RecipeLine],
        mass_ug: Option<Ratio>,
        pieces_micro: Option<Ratio>,
        step: Ratio,
    ) -> Result<Driver, Stop> {
        let mut bowl_ug = Ratio::ZERO;
        for line in lines.iter().filter(|line| !line.flags.out_of_bowl()) {
            let mut mass = Ratio::whole(line.parts.into());
            if line.flags.counted() {
                let item = &self.draft.items[line.item as usize];
                mass = mass.times(item.grams_per_base_unit().unwrap_or(Ratio::ZERO))?;
            }
            bowl_ug = bowl_ug.plus(mass)?;
        }
        Ok(Driver::Batch { mass_ug, pieces_micro, step, bowl_ug })
    }

    fn batch_lines(
        &self,
        position: u32,
        formula: &Formula,
        faults: &mut Faults,
    ) -> Result<Vec<RecipeLine>, Stop> {
        let mut lines = Vec::with_capacity(formula.lines.len());
        for (number, line) in formula.lines.iter().enumerate() {
            let item = self.index.item(line.item.as_str()).ok_or(Stop::Noted)?;
            let pointer = format!("/formulas/{position}/lines/{number}");
            let LineAmount::Amount(quantity) = line.amount else { return Err(Stop::Noted) };
            let counted = quantity.unit() == Unit::Each
                && self.draft.items[item as usize].base_unit == Unit::Each;
            let parts = if counted {
                quantity.micro()
            } else {
                let found = &self.draft.items[item as usize];
                needs_mass_of_one(found, &pointer, faults)?;
                let mass = mass_of(found, quantity, &pointer, faults)?;
                i64::try_from(mass.round_half_up()?).map_err(|_| Overflow)?
            };
            lines.push(self.line(line, item, parts, counted)?);
            self.check_sub_formula(item, line, &pointer, faults);
        }
        Ok(lines)
    }

    /// A line takes grams of a sub-formula: one made by the batch must be weighed.
    pub(super) fn check_sub_formula(
        &self,
        item: u32,
        line: &crate::formula::Line,
        pointer: &str,
        faults: &mut Faults,
    ) {
        if line.previous_batch {
            return;
        }
        if let Some((Recipe { driver: Driver::Batch { mass_ug: None, .. }, .. }, _)) =
            self.compiled(item)
        {
            faults.add(
                pointer,
                FaultKind::NoBatchMass,
                format!(
                    "`{}` is made by the batch and grams of it are asked here: say what a batch makes",
                    line.item
                ),
            );
        }
    }

    pub(super) fn line(
        &self,
        line: &crate::formula::Line,
        item: u32,
        parts: i64,
        counted: bool,
    ) -> Result<RecipeLine, Stop> {
        let mut bits = 0;
        let found = &self.draft.items[item as usize];
        for (bit, set) in [
            (LineFlags::FLOUR, line.flour),
            (LineFlags::PREVIOUS_BATCH, line.previous_batch),
            (LineFlags::COUNTED, counted),
            (LineFlags::WATER, found.water),
            (LineFlags::OUT_OF_BOWL, !line.in_bowl),
        ] {
            if set {
                bits |= bit;
            }
        }
        let precision_micro_percent = match line.precision_percent {
            None => crate::scale::PRECISION_USUAL,
            Some(percent) => {
                let micro = percent.times(Ratio::whole(1_000_000))?.floor();
                u32::try_from(micro).map_err(|_| Overflow)?
            }
        };
        let flags = LineFlags(bits);
        Ok(RecipeLine { item, flags, precision_micro_percent, instead_of: None, parts })
    }

    /// One step, or one block of base dough, must fit the only mixer it is made in.
    fn check_mixer(
        &self,
        recipe: &Recipe,
        formula: &Formula,
        position: u32,
        faults: &mut Faults,
    ) -> Result<(), Stop> {
        let Some((mixer, most)) = recipe.mixer else { return Ok(()) };
        let least = match recipe.driver {
            Driver::Batch { step, bowl_ug, .. } => step.times(bowl_ug)?,
            Driver::Mass | Driver::Blocks { .. } => {
                let residue = self.draft.mixers[mixer as usize].residue();
                self.block_of(recipe.item)?.unwrap_or(Ratio::ZERO).plus(residue)?
            }
        };
        let most = Ratio::whole(most.into());
        let only_residue =
            self.block_of(recipe.item)?.is_none() && !matches!(recipe.driver, Driver::Batch { .. });
        if least > most || (only_residue && least == most) {
            faults.add(
                format_args!("/formulas/{position}/mixer"),
                FaultKind::OverMixerMaximum,
                format!(
                    "one step of `{}` weighs more than `{}` takes of its class: choose a larger mixer or a smaller step",
                    formula.code,
                    self.draft.mixers[mixer as usize].code
                ),
            );
            return Err(Stop::Noted);
        }
        Ok(())
    }

    /// What one step of blocks weighs in base dough, if an item is a base dough.
    fn block_of(&self, base_item: u32) -> Result<Option<Ratio>, Stop> {
        let code = &self.draft.items[base_item as usize].code;
        for formula in &self.draft.formulas {
            if let Base::Blocks(blocks) = &formula.base
                && blocks.base == *code
            {
                let ratio = blocks.percent.over(Ratio::whole(100))?;
                let mass = blocks.sheet_mass.ratio().over(ratio)?;
                return Ok(Some(mass.times(Ratio::whole(blocks.step.into()))?));
            }
        }
        Ok(None)
    }

    /// The recipes, and the items whose recipe is broken.
    pub(super) fn finish(self) -> (Recipes, BTreeSet<u32>) {
        let mut recipes = Recipes {
            recipe_of_item: self.recipe_of_item,
            undecided: self.undecided,
            ..Recipes::default()
        };
        for (mut recipe, lines) in self.reversed.into_iter().rev() {
            let start = u32::try_from(recipes.lines.len()).unwrap_or(u32::MAX);
            recipes.lines.extend(lines);
            recipe.lines = start..u32::try_from(recipes.lines.len()).unwrap_or(u32::MAX);
            recipes.recipes.push(recipe);
        }
        (recipes, self.broken)
    }
}

/// Whether no item stands in two lines.
fn distinct(lines: &[RecipeLine]) -> bool {
    let mut items: Vec<u32> = lines.iter().map(|line| line.item).collect();
    items.sort_unstable();
    items.windows(2).all(|pair| pair[0] != pair[1])
}

/// Stock of an item that is counted or poured is drawn by mass here: one unit needs a mass.
pub(super) fn needs_mass_of_one(
    item: &Item,
    pointer: &str,
    faults: &mut Faults,
) -> Result<(), Stop> {
    if item.base_unit == Unit::Gram {
        return Ok(());
    }
    let one = Quantity::from_micro(MICRO, item.base_unit).map_err(|_| Stop::Overflow)?;
    mass_of(item, one, pointer, faults).map(|_| ())
}

/// The mass of a quantity in micrograms, or a fault that says what is not known.
pub(super) fn mass_of(
    item: &Item,
    quantity: Quantity,
    pointer: &str,
    faults: &mut Faults,
) -> Result<Ratio, Stop> {
    if let Some(mass) = item.mass_ug(quantity)? {
        return Ok(mass);
    }
    let (kind, what) = match quantity.unit() {
        Unit::Millilitre => {
            (FaultKind::NoDensity, "a volume is used and its density is not known: set density")
        }
        _ => (
            FaultKind::NoWeightEach,
            "grams of a counted thing are needed and the usable weight of one is not known: set each",
        ),
    };
    faults.add(pointer, kind, format!("`{}`: {what}", item.code));
    Err(Stop::Noted)
}
