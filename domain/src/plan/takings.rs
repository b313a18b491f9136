//! What pieces take beside the dough of their load, and what a made thing is made of.

use super::needs::stock_draw;
use crate::{
    bakery::{Bakery, CompiledMakeUp, Driver, Recipe},
    item::Item,
    product::Per,
    quantity::{MICRO, Unit},
    ratio::{Overflow, Ratio},
};
use jiff::civil::Date;

/// Something that goes into pieces or into a made thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Taking {
    /// An item or a made thing.
    Item {
        /// Position of the item.
        item: u32,
        /// Exactly: micrograms, or millionths of a piece if it is counted.
        issue: Ratio,
        /// Whether it is counted and not weighed.
        counted: bool,
        /// Whether it comes from a batch made before.
        previous_batch: bool,
    },
    /// Pieces of another product.
    Product {
        /// Position of the product.
        product: u32,
        /// How many pieces.
        pieces: i64,
        /// Its bake date against the service date.
        day_offset: i32,
    },
}

/// What some start pieces of a product take, line by line of its make-up.
///
/// # Errors
/// [`Overflow`]
pub fn takings(
    bakery: &Bakery,
    (product, service_date): (u32, Date),
    pieces: i64,
) -> Result<Vec<Taking>, Overflow> {
    let recipes = bakery.recipes(service_date);
    let trays = bakery.product(product).tray.as_ref().map_or(0, |tray| tray.holding(pieces));
    let times = |per| Ratio::whole(if per == Per::Tray { trays } else { pieces }.into());
    let item = |item, issue, counted| Taking::Item { item, issue, counted, previous_batch: false };
    let mut found = Vec::new();
    for make_up in recipes.make_up_of(product) {
        found.push(match *make_up {
            CompiledMakeUp::Mass { item: at, ug, per, .. } => {
                item(at, ug.times(times(per))?, false)
            }
            CompiledMakeUp::Count { item: at, micro, per, .. } => {
                item(at, micro.times(times(per))?, true)
            }
            CompiledMakeUp::Batches { item: at, batches, per } => {
                let recipe = recipes.of_item(at).map(|at| &recipes.recipes[at]);
                let one = recipe.map_or(Ratio::ZERO, batch_mass);
                item(at, batches.times(times(per))?.times(one)?, false)
            }
            CompiledMakeUp::Product { product, pieces: each, day_offset } => Taking::Product {
                product,
                pieces: each.checked_mul(pieces).ok_or(Overflow)?,
                day_offset,
            },
        });
    }
    Ok(found)
}

/// What one batch gives: as it is stated, else what lies in the bowl.
const fn batch_mass(recipe: &Recipe) -> Ratio {
    match recipe.driver {
        Driver::Batch { mass_ug: Some(mass), .. } => mass,
        Driver::Batch { bowl_ug, .. } => bowl_ug,
        Driver::Mass | Driver::Blocks { .. } => Ratio::ZERO,
    }
}

/// What an amount of a made thing is made of, its losses grossed; none if it is bought.
///
/// # Errors
/// [`Overflow`]
pub fn parts_of(
    bakery: &Bakery,
    (item, service_date): (u32, Date),
    ug: Ratio,
) -> Result<Option<Vec<Taking>>, Overflow> {
    let recipes = bakery.recipes(service_date);
    let Some(recipe) = recipes.of_item(item).map(|at| &recipes.recipes[at]) else {
        return Ok(None);
    };
    let gross = ug.over(recipe.remaining)?;
    let taking = |item, issue, counted, previous_batch| Taking::Item {
        item,
        issue,
        counted,
        previous_batch,
    };
    if let Driver::Blocks { base, sheet, sheet_ug, ratio, .. } = recipe.driver {
        let base_ug = gross.over(ratio.plus(Ratio::ONE)?)?;
        let fat_ug = gross.minus(base_ug)?;
        let counted = bakery.item(sheet).base_unit == Unit::Each;
        let fat = if counted {
            fat_ug.over(sheet_ug)?.times(Ratio::whole(MICRO.into()))?
        } else {
            fat_ug
        };
        return Ok(Some(vec![
            taking(base, base_ug, false, false),
            taking(sheet, fat, counted, false),
        ]));
    }
    let factor = match recipe.driver {
        Driver::Batch { .. } => {
            let one = batch_mass(recipe);
            if one.is_positive() { gross.over(one)? } else { Ratio::ZERO }
        }
        Driver::Mass | Driver::Blocks { .. } => {
            gross.over(Ratio::whole(recipe.parts_sum.into()))?
        }
    };
    let lines = recipes.lines_of(recipe).iter();
    let part = |line: &crate::bakery::RecipeLine| {
        let issue = factor.times(Ratio::whole(line.parts.into()))?;
        Ok(taking(line.item, issue, line.flags.counted(), line.flags.previous_batch()))
    };
    Ok(Some(lines.map(part).collect::<Result<_, Overflow>>()?))
}

/// What leaves stock for an amount, in millionths of the item's base unit.
///
/// Unlike a draft's need, pieces of a counted stock leave in parts: a sheet of fat that two
/// products share leaves once.
///
/// # Errors
/// [`Overflow`]
pub fn leaves_stock(item: &Item, issue: Ratio, counted: bool) -> Result<i64, Overflow> {
    if item.base_unit != Unit::Each {
        return stock_draw(item, issue, counted);
    }
    let drawn = issue.over(item.weighing_loss_percent.left_after_percent()?)?;
    let micro = match item.grams_per_base_unit() {
        Some(grams) if !counted => drawn.over(grams)?,
        _ => drawn,
    };
    i64::try_from(micro.round_half_up()?).map_err(|_| Overflow)
}
