//! The most pieces of a line that meet nothing, in as few plans as can be told beforehand.

use super::{Attempt, Bound, Judge};
use crate::{
    calendar::instant,
    plan::{Plan, PlanError, Spot},
    ratio::Ratio,
};
use std::collections::VecDeque;

/// Most pieces with their plan, and what stands in the way of more.
type Most = (Option<(i64, Attempt)>, Option<Bound>);

/// What is known of a number of pieces that is looked for.
struct Between<'a> {
    /// So many fit: none, or as many as were tried.
    fits: i64,
    /// The plan with these.
    standing: &'a Plan,
    /// So many do not.
    fails: i64,
    /// The plan with those.
    failed: &'a Plan,
    /// What those meet.
    bound: &'a Bound,
}

impl Judge<'_> {
    /// Most pieces more of a line that meet nothing, with their plan, and what more would meet.
    pub(super) fn most(&self, at: usize, more: i64, whole: Attempt) -> Result<Most, PlanError> {
        let strongest = |tried: &Attempt| tried.bounds.lasting().next().cloned();
        let Some(mut bound) = strongest(&whole) else {
            // Only too little for the mixer: a person decides, nothing is raised silently.
            return Ok((None, whole.bounds.found.into_iter().next()));
        };
        // What stands in the way of a line before mostly leaves nothing of this one either.
        let stuck = self.answers.iter().any(|answer| answer.bound.as_ref() == Some(&bound));
        let (mut fits, mut fails, mut best) = (0, more, None::<(i64, Attempt)>);
        let (mut failed, mut told) = (whole, VecDeque::from_iter(stuck.then_some(1)));
        let mut crept = false;
        while fails - fits > 1 {
            let standing = best.as_ref().map_or(&*self.plan, |(_, tried)| &tried.plan);
            if told.is_empty() && !crept {
                let known = Between { fits, standing, fails, failed: &failed.plan, bound: &bound };
                told.extend(self.told(at, &known));
            }
            let next = std::iter::from_fn(|| told.pop_front())
                .find(|guess| fits < *guess && *guess < fails);
            let middle = next.unwrap_or_else(|| part(fits, fails));
            let tried = self.attempt(&[(at, middle)])?;
            let open = fails - fits;
            match strongest(&tried) {
                Some(met) => {
                    (fails, bound, failed) = (middle, met, tried);
                    told.clear();
                }
                None => (fits, best) = (middle, Some((middle, tried))),
            }
            // What is told may be wrong again and again: then the open pieces are parted.
            crept = next.is_some() && told.is_empty() && (fails - fits) * 4 > open * 3;
        }
        let best = best.filter(|(_, tried)| tried.bounds.found.is_empty());
        Ok((best, Some(bound)))
    }

    /// The pieces at which it can be told to end, or nearly.
    fn told(&self, at: usize, known: &Between<'_>) -> Vec<i64> {
        let &Between { fits, fails, bound, .. } = known;
        let end = match bound {
            Bound::Ingredient { item, short_micro, .. } => {
                ingredient(known, *item, *short_micro).map(|end| (end, true))
            }
            // A piece takes about one of the earlier day.
            Bound::EarlierGoods { short, .. } => Some((fails - short, true)),
            Bound::Capacity { spot: Spot::Oven(_) | Spot::Place(_), .. } => {
                self.trays(at, known).or_else(|| self.loads(known))
            }
            _ => self.loads(known),
        };
        let Some((end, nearly)) = end else { return Vec::new() };
        let end = end.clamp(fits, fails - 1);
        if nearly { vec![end, end + 1] } else { vec![end] }
    }

    /// The last piece before one tray more, about half way between trays that fit and trays
    /// that do not, and whether it is the only one: ovens and places are filled by the tray.
    fn trays(&self, at: usize, known: &Between<'_>) -> Option<(i64, bool)> {
        let &Between { fits, standing, fails, failed, .. } = known;
        let (product, proposal) = (self.line(at).product, self.input.proposal);
        let tray = self.input.bakery.product(product).tray.as_ref()?;
        let zone = &self.input.bakery.site().time_zone;
        let drop_at = instant(zone, proposal.service_date, proposal.drop).ok()?;
        let of_drop = |plan: &Plan| -> i64 {
            let drops = plan.drops.iter().filter(|drop| {
                (drop.service_date, drop.product, drop.at)
                    == (proposal.service_date, product, drop_at)
            });
            drops.map(|drop| drop.pieces).sum()
        };
        let (standing, failed) = (of_drop(standing), of_drop(failed));
        let more = tray.holding(failed) - tray.holding(standing);
        if more <= 0 {
            return None;
        }
        let filled = (tray.holding(standing) + (more - 1) / 2).checked_mul(tray.pieces.max(1))?;
        let open = i128::from(filled - standing) * i128::from(fails - fits);
        let end = fits + i64::try_from(open / i128::from(failed - standing)).ok()?;
        Some((end, more == 1))
    }

    /// The same of loads: what finds no time mostly is a load.
    fn loads(&self, known: &Between<'_>) -> Option<(i64, bool)> {
        let &Between { fits, standing, fails, failed, bound } = known;
        let (item, date) = (bound.made()?, self.input.proposal.service_date);
        let failed = failed.batch(date, item)?;
        let standing = standing.batch(date, item);
        let gross = standing.map_or(Ratio::ZERO, |batch| batch.gross);
        let loads = standing.map_or(0, |batch| batch.split.loads);
        if failed.split.loads <= loads {
            return None;
        }
        let recipe = &self.input.bakery.recipes(date).recipes[failed.recipe as usize];
        let room = Ratio::whole(recipe.mixer?.1.into()).minus(failed.split.residue).ok()?;
        let each =
            failed.gross.minus(gross).ok()?.over(Ratio::whole((fails - fits).into())).ok()?;
        let half = (loads + failed.split.loads - 1) / 2;
        let open = room.times(Ratio::whole(half.into())).ok()?.minus(gross).ok()?;
        let pieces = open.over(each).ok()?.floor();
        let end = i64::try_from(pieces).ok()?.saturating_add(fits);
        Some((end, failed.split.loads == loads + 1))
    }
}

/// About how many of some pieces the missing item is enough for, by what the last of them
/// take of it.
fn ingredient(known: &Between<'_>, item: u32, short_micro: i64) -> Option<i64> {
    let &Between { fits, standing, fails, failed, .. } = known;
    let needed = |plan: &Plan| -> i64 {
        let needs = plan.needs.iter().filter(|need| need.item == item);
        needs.fold(0_i64, |sum, need| sum.saturating_add(need.micro))
    };
    let taken = needed(failed).checked_sub(needed(standing)).filter(|&taken| taken > 0)?;
    let missing = i128::from(short_micro) * i128::from(fails - fits) / i128::from(taken);
    i64::try_from(i128::from(fails) - missing - 1).ok()
}

/// Pieces between those that fit and those that do not: one where it may be none of many, the
/// same part of both where they lie far apart, else half way.
pub(super) fn part(fits: i64, fails: i64) -> i64 {
    match fits {
        0 if fails > FEW => 1,
        1.. if fails / fits >= FAR => fits.saturating_mul((fails / fits).isqrt()),
        _ => fits + (fails - fits) / 2,
    }
}

/// Pieces of which the half is tried at once.
const FEW: i64 = 32;
/// So many times more are far apart.
const FAR: i64 = 4;
