//! What pieces and batches ask of recipes.

use crate::{
    bakery::{CompiledMakeUp, Driver, Recipe, Recipes, Steps},
    demand::PieceLine,
    plan::{Batch, Issue},
    product::Per,
    ratio::{Overflow, Ratio},
};

/// What the pieces of a product ask of which recipe.
pub(super) fn asks_of<'a>(
    recipes: &'a Recipes,
    line: &'a PieceLine,
) -> impl Iterator<Item = (usize, Result<Ratio, Overflow>)> + 'a {
    recipes.make_up_of(line.product).iter().filter_map(move |make_up| {
        let (item, amount, per) = match *make_up {
            CompiledMakeUp::Mass { item, ug, per, .. } => (item, ug, per),
            CompiledMakeUp::Batches { item, batches, per } => (item, batches, per),
            CompiledMakeUp::Count { .. } | CompiledMakeUp::Product { .. } => return None,
        };
        let times = match per {
            Per::Piece => line.start,
            Per::Tray => line.trays.unwrap_or(0),
        };
        Some((recipes.of_item(item)?, amount.times(Ratio::whole(times.into()))))
    })
}

/// Whole blocks of base dough that a laminated batch asks for by an issue, if it is that.
pub(super) fn steps_of(
    recipe: &Recipe,
    batch: &Batch,
    issue: &Issue,
) -> Result<Option<Steps>, Overflow> {
    match (recipe.driver, batch.blocks) {
        (Driver::Blocks { base, step, .. }, Some(blocks)) if base == issue.item => {
            let count = blocks / step;
            let mass = issue.micro.over(Ratio::whole(count.max(1).into()))?;
            Ok(Some(Steps { count, mass }))
        }
        _ => Ok(None),
    }
}
