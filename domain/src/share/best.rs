//! The best cut: as much worth as can be kept, tier before tier.

use super::{
    claims::{Claim, Claims},
    solver::{self, Search, Share},
};
use crate::ratio::Overflow;

/// Claims beyond which nothing is searched: the answer is then the best of what is at hand.
pub const CLAIMS_MAX: usize = 3_000;

/// How it is known that no other way keeps more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Proof {
    /// No more can be kept: an upper bound in whole numbers equals it.
    Bound,
    /// The solver searched all ways and found none better; the bound is above it.
    Search,
    /// Not proven: the bound says how much more there could be at most.
    None,
}

/// What is kept of a tier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TierWorth {
    /// The tier.
    pub tier: i64,
    /// Its worth, given that tiers before it keep theirs.
    pub worth: i128,
    /// It can be no more than this.
    pub bound: i128,
    /// How that is known.
    pub proof: Proof,
}

/// The best cut that was found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Best {
    /// Pieces of each claim.
    pub kept: Vec<i64>,
    /// Tier by tier.
    pub tiers: Vec<TierWorth>,
}

impl Best {
    /// Whether every tier is proven.
    #[must_use]
    pub fn is_proven(&self) -> bool {
        self.tiers.iter().all(|tier| tier.proof != Proof::None)
    }
}

/// Keeps the most worth: the first tier as much as can be, then the next with what that
/// leaves, and so on. `fair` is a cut that breaks no rule; the answer is never below it.
///
/// What the solver says is a candidate: it is mended and checked in whole numbers. The
/// bound is computed in whole numbers too, from prices of what is scarce, whatever these
/// prices are.
///
/// # Errors
/// [`Overflow`]
///
/// # Source
/// Weak duality of linear programs: any non-negative prices give an upper bound. That
/// prices may come from an inexact solver: A. Neumaier, O. Shcherbina, "Safe bounds in
/// linear and mixed-integer linear programming", Mathematical Programming 99 (2004).
pub fn best(claims: &Claims, fair: &[i64]) -> Result<Best, Overflow> {
    let mut best = Best { kept: fair.to_vec(), tiers: Vec::new() };
    claims.mend(&mut best.kept)?;
    for tier in claims.tiers() {
        let found = keep_most(claims, tier, &mut best)?;
        best.tiers.push(found);
    }
    Ok(best)
}

fn keep_most(claims: &Claims, tier: i64, best: &mut Best) -> Result<TierWorth, Overflow> {
    let own = |claim: &&Claim| claim.tier == tier;
    let all = claims.claims.iter().filter(own).try_fold(0_i128, |sum, claim| {
        sum.checked_add(i128::from(claim.worth) * i128::from(claim.pieces)).ok_or(Overflow)
    })?;
    let worth = claims.worth(&best.kept, tier)?;
    if worth == all || claims.claims.len() > CLAIMS_MAX {
        let proof = if worth == all { Proof::Bound } else { Proof::None };
        return Ok(TierWorth { tier, worth, bound: all, proof });
    }
    let floors = best.tiers.clone();
    let share = Share { claims, tier, floors: &floors };
    let mut found = worth;
    let mut bound = bound(&share, &solver::prices(&share))?.min(all);
    let mut searched = false;
    if found < bound {
        let relaxed = solver::relaxed(&share, &best.kept);
        found = better(&share, relaxed, &mut best.kept, found)?;
    }
    if found < bound {
        let search = solver::search(&share, &best.kept);
        searched = search.as_ref().is_some_and(|search| search.finished);
        let kept = search.map(|Search { kept, .. }| kept);
        found = better(&share, kept, &mut best.kept, found)?;
    }
    bound = bound.max(found);
    let proof = match (bound <= found, searched) {
        (true, _) => Proof::Bound,
        (false, true) => Proof::Search,
        (false, false) => Proof::None,
    };
    Ok(TierWorth { tier, worth: found, bound, proof })
}

/// Takes a candidate over if, mended and checked, it keeps more; returns what is kept.
fn better(
    share: &Share<'_>,
    candidate: Option<Vec<i64>>,
    held: &mut Vec<i64>,
    found: i128,
) -> Result<i128, Overflow> {
    let Share { claims, tier, floors } = share;
    let Some(mut kept) = candidate else { return Ok(found) };
    claims.mend(&mut kept)?;
    for floor in *floors {
        if claims.worth(&kept, floor.tier)? < floor.worth {
            return Ok(found);
        }
    }
    let worth = claims.worth(&kept, *tier)?;
    if worth > found {
        *held = kept;
    }
    Ok(worth.max(found))
}

/// Digits after the binary point of a bound's sums.
const FINE: u32 = 20;

/// An upper bound on the worth of a tier, in whole numbers.
///
/// A price of something scarce is what all of it would be worth, in 1/2^20. Each claim
/// then takes whatever is best for it at these prices; what is scarce costs its price once.
fn bound(share: &Share<'_>, prices: &solver::Prices) -> Result<i128, Overflow> {
    let Share { claims, tier, floors } = share;
    let mut sum = 0_i128;
    for price in &prices.scarce {
        sum = sum.checked_add(*price).ok_or(Overflow)?;
    }
    for (price, floor) in prices.floors.iter().zip(*floors) {
        let held = price.checked_mul(floor.worth).ok_or(Overflow)?;
        sum = sum.checked_sub(held).ok_or(Overflow)?;
    }
    for claim in claims.claims.iter().filter(|claim| claim.pieces > 0) {
        let own = if claim.tier == *tier { i128::from(claim.worth) << FINE } else { 0 };
        let mut gain = own;
        for (price, floor) in prices.floors.iter().zip(*floors) {
            if floor.tier == claim.tier {
                let worth = price.checked_mul(claim.worth.into()).ok_or(Overflow)?;
                gain = gain.checked_add(worth).ok_or(Overflow)?;
            }
        }
        for (price, scarce) in prices.scarce.iter().zip(&claims.scarce) {
            let uses = scarce.uses.iter().filter(|(kind, _)| *kind == claim.kind);
            for &(_, each) in uses {
                if each > scarce.capacity {
                    // Not one piece of it can be had.
                    gain = gain.min(0);
                } else if scarce.capacity > 0 {
                    // Rounded down, so that the bound is never too low.
                    let cost = price.checked_mul(each.into()).ok_or(Overflow)?;
                    gain -= cost.div_euclid(scarce.capacity.into());
                }
            }
        }
        let gains = gain.max(0).checked_mul(claim.pieces.into()).ok_or(Overflow)?;
        sum = sum.checked_add(gains).ok_or(Overflow)?;
    }
    Ok(sum >> FINE)
}

#[cfg(test)]
mod tests {
    use super::{
        super::{claims::*, fair},
        *,
    };

    /// Butter 7.0 kg; croissant 50 g x 100, brioche 120 g x 30, cookie 30 g x 60.
    fn butter(worth: [i64; 3]) -> Claims {
        let asked = [(0, 100), (1, 30), (2, 60)];
        Claims {
            claims: asked
                .map(|(kind, pieces)| Claim {
                    kind,
                    tier: 1,
                    pieces,
                    pack: 1,
                    least: 1,
                    worth: worth[kind as usize],
                })
                .to_vec(),
            scarce: vec![Scarce { capacity: 7_000, uses: vec![(0, 50), (1, 120), (2, 30)] }],
            doughs: Vec::new(),
        }
    }

    fn solved(claims: &Claims) -> Best {
        let fair = fair(claims).unwrap().kept;
        let best = best(claims, &fair).unwrap();
        assert_eq!(claims.breach(&best.kept), Ok(None));
        assert!(best.is_proven(), "{best:?}");
        best
    }

    #[test]
    fn the_best_cut_of_butter_is_the_published_one() {
        // Source: check-values.md OR-01 and OR-02: the value counts, not the vector.
        for (worth, value) in [([3, 6, 1], 399), ([2, 5, 1], 286)] {
            assert_eq!(solved(&butter(worth)).tiers[0].worth, value, "{worth:?}");
        }
    }

    #[test]
    fn a_tier_keeps_its_most_before_the_next_has_anything() {
        let mut claims = butter([3, 6, 1]);
        claims.claims[2].tier = 0;
        // All cookies take 1.8 kg, although butter in croissants is worth more.
        let best = solved(&claims);
        assert_eq!((best.kept[2], best.tiers[0].worth), (60, 60));
        // 5.2 kg are left: 99 croissants and 2 brioches use 5.19 kg; 100 and 1 give 306.
        assert_eq!(best.tiers[1].worth, 309);
    }

    #[test]
    fn packs_useful_numbers_and_mixer_minimums_hold() {
        let mut claims = butter([3, 6, 1]);
        claims.claims[0] = Claim { pack: 6, least: 96, ..claims.claims[0] };
        claims.doughs = vec![Least { mass: 3_000, of: vec![(1, 120)] }];
        // Without brioche: 100 croissants and 60 cookies; with it 25 at least, 3 kg, and
        // croissants are of no use below 96: 30 brioche and 60 cookies are worth less.
        assert_eq!(solved(&claims).tiers[0].worth, 360);
    }
}
