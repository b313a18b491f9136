//! Laminated dough: blocks that are folded, those of released loads first.

use super::{Drafted, free_numbers, part};
use crate::{
    bakery::{Bakery, Driver, Recipe},
    load::HeldLoad,
    ratio::{Overflow, Ratio},
    split::{Split, SplitInput, split},
};

/// Blocks of a laminated batch.
pub(in crate::plan) struct Folded {
    /// Released loads, and what is over.
    pub(in crate::plan) drafted: Drafted,
    /// Blocks that are still to be folded: one draft load, if there are any.
    pub(in crate::plan) blocks: i64,
    /// Blocks of released loads.
    pub(in crate::plan) held: i64,
}

/// Blocks that released loads leave to be folded.
///
/// Blocks are whole, so nothing is left alone that is missing.
pub(in crate::plan) fn fold(
    bakery: &Bakery,
    recipe: &Recipe,
    blocks: i64,
    held: &[(u32, &HeldLoad)],
) -> Result<Folded, Overflow> {
    let covering = || held.iter().filter(|(_, load)| load.state.covers());
    let folded: i64 = covering().map(|(_, load)| load.steps.unwrap_or(0)).sum();
    let (step, each) = match recipe.driver {
        Driver::Blocks { step, sheet_ug, ratio, .. } => {
            (step.max(1), sheet_ug.over(ratio)?.plus(sheet_ug)?)
        }
        Driver::Mass | Driver::Batch { .. } => (1, Ratio::ZERO),
    };
    let left = (blocks - folded).max(0);
    let left = (left + step - 1) / step * step;
    let parts = covering().map(|(at, load)| part(bakery, *at, load)).collect();
    let mut drafted = Drafted::new(no_loads()?, parts, Ratio::ZERO);
    drafted.surplus = each.times(Ratio::whole((folded - blocks).max(0).into()))?;
    drafted.numbers = free_numbers(held, i64::from(left > 0));
    Ok(Folded { drafted, blocks: left, held: folded })
}

/// Folding fills no mixer.
fn no_loads() -> Result<Split, Overflow> {
    split(SplitInput { mass: Ratio::ZERO, steps: None, bowl: None }).map_err(|_| Overflow)
}
