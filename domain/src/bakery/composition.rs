//! What a formula is made of when its sub-formulas are dissolved.

use super::{Bakery, BakeryDraft, Driver, Recipe, RecipeLine, Recipes};
use crate::{
    fault::{FaultKind, Faults},
    formula::Formula,
    ratio::Ratio,
};
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One, Zero};
use std::collections::{BTreeMap, BTreeSet};

/// Shares of one gram of a formula, by position of item.
///
/// The seed of a levain is read as of the levain's own composition. Shares are
/// big rationals: a chain of many levels is never rounded on the way.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Composition {
    /// All that is not made here.
    pub leaves: BTreeMap<u32, BigRational>,
    /// Those of it that count as flour.
    pub flours: BTreeMap<u32, BigRational>,
    /// Water that is free to hydrate.
    pub water: BigRational,
    /// Water bound in soakers.
    pub bound_water: BigRational,
    /// Salt, soakers' included.
    pub salt: BigRational,
    /// Flour that comes in sub-formulas.
    pub prefermented: BigRational,
}

impl Composition {
    /// All flour.
    #[must_use]
    pub fn flour(&self) -> BigRational {
        self.flours.values().cloned().sum()
    }

    fn add(&mut self, other: &Self, share: &BigRational, soaker: bool) {
        for (item, amount) in &other.leaves {
            *self.leaves.entry(*item).or_default() += amount * share;
        }
        for (item, amount) in &other.flours {
            *self.flours.entry(*item).or_default() += amount * share;
        }
        let water = &other.water * share;
        if soaker {
            self.bound_water += water;
        } else {
            self.water += water;
        }
        self.bound_water += &other.bound_water * share;
        self.salt += &other.salt * share;
        self.prefermented += other.flour() * share;
    }
}

/// The composition of a made item; none if nothing makes it.
pub(super) fn compose<'a>(
    draft: &BakeryDraft,
    item: u32,
    compiled: &dyn Fn(u32) -> Option<(&'a Recipe, &'a [RecipeLine])>,
) -> Option<Composition> {
    let mut walk = Walk { draft, compiled, done: BTreeMap::new(), open: BTreeSet::new() };
    walk.of_item(item)
}

struct Walk<'w, 'a> {
    draft: &'w BakeryDraft,
    compiled: &'w dyn Fn(u32) -> Option<(&'a Recipe, &'a [RecipeLine])>,
    done: BTreeMap<u32, Composition>,
    open: BTreeSet<u32>,
}

impl Walk<'_, '_> {
    fn of_item(&mut self, item: u32) -> Option<Composition> {
        if let Some(found) = self.done.get(&item) {
            return Some(found.clone());
        }
        let (recipe, lines) = (self.compiled)(item)?;
        self.open.insert(item);
        let composed = self.of_recipe(recipe, lines);
        self.open.remove(&item);
        self.done.insert(item, composed.clone());
        Some(composed)
    }

    fn of_recipe(&mut self, recipe: &Recipe, lines: &[RecipeLine]) -> Composition {
        self.of_lines(recipe, lines).0
    }

    /// The composition of a gram, and the parts that were looked at to find it.
    fn of_lines(&mut self, recipe: &Recipe, lines: &[RecipeLine]) -> (Composition, BigRational) {
        let mut taken: Vec<(u32, BigRational, bool)> = Vec::with_capacity(lines.len());
        if let Driver::Blocks { base, sheet, ratio, .. } = recipe.driver {
            taken.push((base, BigRational::one(), false));
            taken.push((sheet, ratio.to_big(), false));
        }
        for line in lines {
            // A seed of the same kind changes nothing in a gram; nor does old dough
            // that leads back to here.
            if line.flags.previous_batch() && self.open.contains(&line.item) {
                continue;
            }
            let mut parts = BigRational::from_integer(BigInt::from(line.parts));
            if line.flags.counted() {
                let grams = self.draft.items[line.item as usize].grams_per_base_unit();
                parts *= grams.unwrap_or(Ratio::ZERO).to_big();
            }
            taken.push((line.item, parts, line.flags.flour()));
        }
        let sum: BigRational = taken.iter().map(|(_, parts, _)| parts.clone()).sum();
        let mut composed = Composition::default();
        if sum.is_zero() {
            return (composed, sum);
        }
        for (item, parts, flour) in taken {
            self.add(&mut composed, item, &(parts / &sum), flour);
        }
        (composed, sum / BigRational::from_integer(BigInt::from(recipe.parts_scale)))
    }

    fn add(&mut self, composed: &mut Composition, item: u32, share: &BigRational, flour: bool) {
        if !self.open.contains(&item)
            && let Some(sub) = self.of_item(item)
        {
            let soaker = (self.compiled)(item)
                .is_some_and(|(recipe, _)| self.draft.formulas[recipe.formula as usize].soaker);
            composed.add(&sub, share, soaker);
            return;
        }
        let leaf = &self.draft.items[item as usize];
        *composed.leaves.entry(item).or_default() += share;
        if flour {
            *composed.flours.entry(item).or_default() += share;
        }
        if leaf.water {
            composed.water += share;
        }
        if leaf.salt {
            composed.salt += share;
        }
    }
}

/// Refuses a bread formula whose flours do not make 100 ± 0.01 overall.
pub(super) fn check_flour<'a>(
    draft: &BakeryDraft,
    recipe: &Recipe,
    lines: &[RecipeLine],
    compiled: &dyn Fn(u32) -> Option<(&'a Recipe, &'a [RecipeLine])>,
    faults: &mut Faults,
) {
    let mut walk = Walk { draft, compiled, done: BTreeMap::new(), open: BTreeSet::new() };
    walk.open.insert(recipe.item);
    // Old dough comes on top of the hundred: it was counted when it was mixed.
    let fresh: Vec<RecipeLine> =
        lines.iter().filter(|line| !line.flags.previous_batch()).copied().collect();
    let (composed, written) = walk.of_lines(recipe, &fresh);
    let found = composed.flour() * written;
    let allowed = BigRational::new(BigInt::from(1), BigInt::from(100));
    let off = &found - BigRational::from_integer(BigInt::from(100));
    if off > allowed || off < -allowed {
        let formula = &draft.formulas[recipe.formula as usize];
        faults.add(
            format_args!("/formulas/{}", recipe.formula),
            FaultKind::FlourSum,
            format!(
                "the flours of `{}` make {} % overall, not 100: correct the lines marked as flour",
                formula.code,
                decimal(&found)
            ),
        );
    }
}

/// A big rational rounded half up to six places, as text without trailing zeros.
#[must_use]
pub(crate) fn decimal(value: &BigRational) -> String {
    let scale = BigInt::from(1_000_000);
    let scaled = (value * BigRational::from_integer(scale.clone())).round().to_integer();
    let (whole, part) = (&scaled / &scale, &scaled % &scale);
    let sign = if scaled < BigInt::zero() && whole.is_zero() { "-" } else { "" };
    if part.is_zero() {
        return format!("{whole}");
    }
    let part = part.magnitude().to_string();
    format!("{sign}{whole}.{}", format!("{part:0>6}").trim_end_matches('0'))
}

/// A bread formula in its two views, in parts as the baker wrote them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Views {
    /// All flour, close to 100.
    pub flour_parts: BigRational,
    /// Each flour.
    pub flours: Vec<(u32, BigRational)>,
    /// Free water.
    pub water: BigRational,
    /// Water bound in soakers.
    pub bound_water: BigRational,
    /// Salt.
    pub salt: BigRational,
    /// Flour fermented ahead.
    pub prefermented: BigRational,
    /// What goes into the bowl, in order.
    pub final_mix: Vec<(u32, BigRational)>,
    /// The same with sub-formulas dissolved, by position of item.
    pub overall: Vec<(u32, BigRational)>,
}

impl Bakery {
    /// The views of the recipe that makes an item; none if it is bought.
    #[must_use]
    pub fn views(&self, recipes: &Recipes, item: u32) -> Option<Views> {
        let compiled = |item: u32| {
            let recipe = &recipes.recipes[recipes.of_item(item)?];
            Some((recipe, recipes.lines_of(recipe)))
        };
        let (recipe, lines) = compiled(item)?;
        let mut walk = Walk {
            draft: self.lists(),
            compiled: &compiled,
            done: BTreeMap::new(),
            open: BTreeSet::from([item]),
        };
        let (composed, written) = walk.of_lines(recipe, lines);
        let scale = BigInt::from(recipe.parts_scale);
        let in_parts = |share: &BigRational| share * &written;
        let all = |shares: &BTreeMap<u32, BigRational>| {
            shares.iter().map(|(item, share)| (*item, in_parts(share))).collect()
        };
        Some(Views {
            flour_parts: in_parts(&composed.flour()),
            flours: all(&composed.flours),
            water: in_parts(&composed.water),
            bound_water: in_parts(&composed.bound_water),
            salt: in_parts(&composed.salt),
            prefermented: in_parts(&composed.prefermented),
            final_mix: lines
                .iter()
                .map(|line| (line.item, BigRational::new(BigInt::from(line.parts), scale.clone())))
                .collect(),
            overall: all(&composed.leaves),
        })
    }

    /// Whether what makes an item takes a preferment or old dough: a dough of its own, whose
    /// temperature counts.
    #[must_use]
    pub fn takes_preferment(&self, recipes: &Recipes, item: u32) -> bool {
        let made = |item: u32| recipes.of_item(item).map(|at| &recipes.recipes[at]);
        let sponge = |item: u32| {
            made(item).is_some_and(|recipe| recipe.has_flour && !self.formula_of(recipe).soaker)
        };
        made(item).is_some_and(|recipe| {
            let lines = recipes.lines_of(recipe);
            lines.iter().any(|line| line.flags.previous_batch() || sponge(line.item))
        })
    }

    /// The formula version behind a recipe.
    #[must_use]
    pub fn formula_of(&self, recipe: &Recipe) -> &Formula {
        &self.lists().formulas[recipe.formula as usize]
    }
}
