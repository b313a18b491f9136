//! From what must be ready to what must be made, each loss grossed in its place.

mod contents;

pub use contents::{contents, item_contents};

use crate::{
    bakery::{Bakery, CompiledMakeUp, Driver, Recipe, Recipes, Steps},
    product::Per,
    quantity::Unit,
    ratio::{Overflow, Ratio},
};
use num_rational::BigRational;
use num_traits::Zero;

/// What must be made so that a net amount is ready.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Gross {
    /// All that must come out of the bowls, in micrograms.
    pub mass: Ratio,
    /// Whole steps, for what is made by the batch.
    pub steps: Option<Steps>,
    /// Whole blocks, for laminated dough.
    pub blocks: Option<i64>,
}

/// Grosses a net amount: micrograms, or batches for what is made by the batch.
///
/// A loss of 10 % divides by 0.90; losses follow one another, they are never added.
///
/// # Errors
/// [`Overflow`]
pub fn gross(recipe: &Recipe, net: Ratio) -> Result<Gross, Overflow> {
    let amount = net.over(recipe.remaining)?;
    Ok(match recipe.driver {
        Driver::Mass => Gross { mass: amount, steps: None, blocks: None },
        Driver::Batch { step, bowl_ug, .. } => {
            let count = i64::try_from(amount.over(step)?.ceil()).map_err(|_| Overflow)?;
            let mass = step.times(bowl_ug)?;
            let all = mass.times(Ratio::whole(count.into()))?;
            Gross { mass: all, steps: Some(Steps { count, mass }), blocks: None }
        }
        Driver::Blocks { sheet_ug, ratio, step, .. } => {
            let fat = amount.times(ratio)?.over(Ratio::ONE.plus(ratio)?)?;
            let per_step = sheet_ug.times(Ratio::whole(step.into()))?;
            let steps = i64::try_from(fat.over(per_step)?.ceil()).map_err(|_| Overflow)?;
            let blocks = steps.checked_mul(step).ok_or(Overflow)?;
            Gross { mass: amount, steps: None, blocks: Some(blocks) }
        }
    })
}

/// Exact needs of all made things and ingredients, nothing rounded on the way.
///
/// By position of item: pieces of an item that is counted, grams of all else.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Requirements {
    /// What must be ready, before the losses of making it.
    pub net: Vec<BigRational>,
    /// What goes in: the same for ingredients, grossed for what is made.
    pub gross: Vec<BigRational>,
}

/// Expands exact net needs through all formulas, users first.
///
/// This is the ideal bakery: no residue, no whole batches or blocks, no scales. It
/// is what costs and statements stand on, and what the rounded plan is compared with.
/// A seed from a previous batch is not expanded.
#[must_use]
pub fn expand(bakery: &Bakery, recipes: &Recipes, net: Vec<BigRational>) -> Requirements {
    let mut net = net;
    net.resize(bakery.lists().items.len(), BigRational::zero());
    let mut gross = net.clone();
    for recipe in &recipes.recipes {
        let item = recipe.item as usize;
        if recipes.of_item(recipe.item).is_none() || net[item].is_zero() {
            continue;
        }
        let made = &net[item] / recipe.remaining.to_big();
        gross[item] = made.clone();
        for (used, amount) in shares(bakery, recipes, recipe, &made) {
            net[used as usize] += &amount;
            gross[used as usize] += amount;
        }
    }
    Requirements { net, gross }
}

/// What a made amount takes of each of its lines.
fn shares(
    bakery: &Bakery,
    recipes: &Recipes,
    recipe: &Recipe,
    made: &BigRational,
) -> Vec<(u32, BigRational)> {
    if let Driver::Blocks { base, sheet, ratio, .. } = recipe.driver {
        let ratio = ratio.to_big();
        let whole = BigRational::from_integer(1.into()) + &ratio;
        let fat = made * ratio / &whole;
        let fat = in_own_unit(bakery, sheet, fat);
        return vec![(base, made / whole), (sheet, fat)];
    }
    let batch_mass = match recipe.driver {
        Driver::Batch { mass_ug: Some(mass), .. } => mass.to_big(),
        Driver::Batch { bowl_ug, .. } => bowl_ug.to_big(),
        Driver::Mass | Driver::Blocks { .. } => Ratio::whole(recipe.parts_sum.into()).to_big(),
    };
    let per_part = made / batch_mass;
    recipes
        .lines_of(recipe)
        .iter()
        .filter(|line| !line.flags.previous_batch())
        .map(|line| {
            let amount = &per_part * BigRational::from_integer(line.parts.into());
            let own = line.flags.counted();
            (line.item, if own { amount } else { in_own_unit(bakery, line.item, amount) })
        })
        .collect()
}

/// Grams of an item; pieces of one that is counted.
fn in_own_unit(bakery: &Bakery, item: u32, grams: BigRational) -> BigRational {
    let found = bakery.item(item);
    match found.grams_per_base_unit() {
        Some(each) if found.base_unit == Unit::Each && each.is_positive() => grams / each.to_big(),
        _ => grams,
    }
}

/// Exact net needs of a number of start pieces, by position of item, as [`expand`] takes them.
#[must_use]
pub fn make_up(
    bakery: &Bakery,
    recipes: &Recipes,
    pieces: &[(u32, i64, Option<i64>)],
) -> Vec<BigRational> {
    let mut net = vec![BigRational::zero(); bakery.lists().items.len()];
    let micro = Ratio::whole(crate::quantity::MICRO.into()).to_big();
    for &(product, start, trays) in pieces {
        for line in recipes.make_up_of(product) {
            let (item, amount, per) = match *line {
                CompiledMakeUp::Mass { item, ug, per, .. } => {
                    (item, in_own_unit(bakery, item, ug.to_big() / &micro), per)
                }
                CompiledMakeUp::Count { item, micro: count, per, .. } => {
                    (item, count.to_big() / &micro, per)
                }
                CompiledMakeUp::Batches { item, batches, per } => {
                    let recipe = recipes.of_item(item).map(|at| &recipes.recipes[at]);
                    let mass = match recipe.map(|recipe| recipe.driver) {
                        Some(Driver::Batch { mass_ug: Some(mass), .. }) => mass,
                        Some(Driver::Batch { bowl_ug, .. }) => bowl_ug,
                        _ => Ratio::ZERO,
                    };
                    (item, batches.to_big() * mass.to_big() / &micro, per)
                }
                CompiledMakeUp::Product { .. } => continue,
            };
            let times = match per {
                Per::Piece => start,
                Per::Tray => trays.unwrap_or(0),
            };
            net[item as usize] += amount * BigRational::from_integer(times.into());
        }
    }
    net
}
