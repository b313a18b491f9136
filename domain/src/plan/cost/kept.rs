//! What a kept lot is worth at the prices of a list: what writing it off costs.

use super::{Cost, plain_cost};
use crate::{
    bakery::{Bakery, Driver},
    figure::Figure,
    lot::Lot,
    plan::made_stock::after_taking,
};
use jiff::civil::Date;

/// What a lot of a made thing costs to make at the prices of a date, by its formula: what is
/// lost only when it is taken is not in it, nor is residue; none if nothing makes it, or nobody
/// knows what a unit of it weighs.
#[must_use]
pub fn kept_cost(bakery: &Bakery, lot: &Lot, on: Date) -> Option<Cost> {
    let item = bakery.index().item(lot.item.as_str())?;
    let each = plain_cost(bakery, on, item)?;
    let grams = bakery.item(item).grams_per_base_unit()?;
    let ug = Figure::whole(lot.balance_micro).times(&grams.into());
    let recipes = bakery.recipes(on);
    let recipe = &recipes.recipes[recipes.of_item(item)?];
    let left = after_taking(bakery.formula_of(recipe)).ok()?;
    let ug = ug.times(&left.into());
    let times = match recipe.driver {
        Driver::Batch { mass_ug, .. } => ug.over(&mass_ug?.into()),
        Driver::Mass | Driver::Blocks { .. } => ug,
    };
    Some(each.times(&times))
}
