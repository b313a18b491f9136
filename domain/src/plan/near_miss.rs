//! A little less dough would save a load.

use super::{AskedBy, Batch, Plan};
use crate::{
    bakery::{Bakery, Driver},
    ratio::{Overflow, Ratio},
};

/// Dough that takes a load of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NearMiss {
    /// What to leave out, in micrograms at the divider, rounded up.
    pub cut_ug: i64,
    /// Loads that are left then.
    pub loads: i64,
    /// Whether the overs of its products are as much.
    pub of_overs: bool,
}

/// What would save a load of a batch: no more than its overs, or than a quarter percent of it,
/// which is what a load may differ from its mass anyway.
///
/// # Errors
/// [`Overflow`]
///
/// # Source
/// The trade rules, 2.4 and part 7, case 15.
pub fn near_miss(
    bakery: &Bakery,
    plan: &Plan,
    batch: &Batch,
) -> Result<Option<NearMiss>, Overflow> {
    if !batch.held.is_empty() || batch.split.loads < 2 {
        return Ok(None);
    }
    let Some((cut, overs)) = over_one_less(bakery, plan, batch)? else { return Ok(None) };
    let quarter_percent = batch.gross.over(Ratio::whole(400))?;
    let of_overs = cut <= overs;
    let little = cut.is_positive() && (of_overs || cut <= quarter_percent);
    let cut_ug = i64::try_from(cut.ceil()).map_err(|_| Overflow)?;
    Ok(little.then_some(NearMiss { cut_ug, loads: batch.split.loads - 1, of_overs }))
}

/// Dough at the divider that one load fewer has no room for, and what of it is for overs; none
/// if its loads are made by whole steps, or without a mixer.
pub(super) fn over_one_less(
    bakery: &Bakery,
    plan: &Plan,
    batch: &Batch,
) -> Result<Option<(Ratio, Ratio)>, Overflow> {
    let recipe = &bakery.recipes(batch.service_date).recipes[batch.recipe as usize];
    let (Some((_, most)), Driver::Mass) = (recipe.mixer, recipe.driver) else { return Ok(None) };
    let loads = Ratio::whole((batch.split.loads - 1).into());
    let room = Ratio::whole(most.into()).minus(batch.split.residue)?.times(loads)?;
    let too_much = batch.gross.plus(batch.keep_back)?.minus(room)?;
    let mut overs = Ratio::ZERO;
    for ask in &batch.asked {
        let AskedBy::Product(product) = ask.by else { continue };
        let line = plan.demand.of(batch.service_date, product);
        let Some(line) = line.filter(|line| line.start > 0) else { continue };
        let each = ask.amount.over(Ratio::whole(line.start.into()))?;
        overs = overs.plus(each.times(Ratio::whole(line.overs().max(0).into()))?)?;
    }
    Ok(Some((too_much.times(recipe.remaining)?, overs)))
}
