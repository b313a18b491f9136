//! Too little of something: a fair share by tier, and the best set of cuts beside it.

mod best;
mod claims;
mod fair;
mod solver;

pub use best::{Best, Proof, TierWorth, best};
pub use claims::{Breach, Claim, Claims, Least, Scarce};
pub use fair::{Fair, fair};

use crate::ratio::{Overflow, Ratio};

/// What one customer asked of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wish {
    /// Tier 1 is served first.
    pub tier: i64,
    /// Pieces asked.
    pub pieces: i64,
    /// Fewer than this are of no use.
    pub minimum_useful: i64,
    /// Whether it is all or nothing.
    pub all_or_nothing: bool,
}

/// Shares what there is among wishes, which are in order of age (ties as listed).
///
/// Tier by tier; inside a tier each gets its floor share and the rest goes by
/// largest remainder, ties to the earlier wish. Whoever would get less than is
/// useful gets nothing and the tier is shared again, the newest such wish first.
/// With a pack, whole packs are shared and the rest stays.
///
/// # Errors
/// [`Overflow`]
pub fn share(available: i64, pack: i64, wishes: &[Wish]) -> Result<Vec<i64>, Overflow> {
    let mut given = vec![0; wishes.len()];
    let mut left = available.max(0);
    let mut tiers: Vec<i64> = wishes.iter().map(|wish| wish.tier).collect();
    tiers.sort_unstable();
    tiers.dedup();
    for tier in tiers {
        let mut members: Vec<usize> = (0..wishes.len())
            .filter(|&at| wishes[at].tier == tier && wishes[at].pieces > 0)
            .collect();
        loop {
            let shares = share_tier(left, pack.max(1), wishes, &members)?;
            let useless = members.iter().zip(&shares).rposition(|(&at, &share)| {
                let wish = wishes[at];
                let least = if wish.all_or_nothing { wish.pieces } else { wish.minimum_useful };
                share < least.min(wish.pieces)
            });
            match useless {
                Some(newest) => {
                    members.remove(newest);
                }
                None => {
                    for (&at, share) in members.iter().zip(shares) {
                        given[at] = share;
                        left -= share;
                    }
                    break;
                }
            }
        }
    }
    Ok(given)
}

fn share_tier(
    left: i64,
    pack: i64,
    wishes: &[Wish],
    members: &[usize],
) -> Result<Vec<i64>, Overflow> {
    let asked: i64 = members.iter().map(|&at| wishes[at].pieces).sum();
    if asked <= left {
        return Ok(members.iter().map(|&at| wishes[at].pieces).collect());
    }
    let packs = left / pack;
    let weights: Vec<i64> = members.iter().map(|&at| wishes[at].pieces).collect();
    Ok(largest_remainder(packs, &weights)?.into_iter().map(|share| share * pack).collect())
}

/// Divides a whole number by weights so that the parts sum to it exactly.
///
/// Floors first, the rest by largest remainder, ties to the earlier one.
///
/// # Errors
/// [`Overflow`]
///
/// # Source
/// The largest-remainder method with the simple quota.
pub fn largest_remainder(whole: i64, weights: &[i64]) -> Result<Vec<i64>, Overflow> {
    let sum: i64 = weights.iter().sum();
    if sum <= 0 {
        return Ok(vec![0; weights.len()]);
    }
    let quotas: Vec<Ratio> = weights
        .iter()
        .map(|&weight| Ratio::new(i128::from(whole) * i128::from(weight), i128::from(sum)))
        .collect::<Result<_, _>>()?;
    let mut parts: Vec<i64> = quotas
        .iter()
        .map(|quota| i64::try_from(quota.floor()).map_err(|_| Overflow))
        .collect::<Result<_, _>>()?;
    let left = whole - parts.iter().sum::<i64>();
    let mut rests = Vec::with_capacity(quotas.len());
    for (at, quota) in quotas.iter().enumerate() {
        rests.push((quota.minus(Ratio::whole(quota.floor()))?, at));
    }
    rests.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    for &(_, at) in rests.iter().take(usize::try_from(left).map_err(|_| Overflow)?) {
        parts[at] += 1;
    }
    Ok(parts)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wish(tier: i64, pieces: i64) -> Wish {
        Wish { tier, pieces, minimum_useful: 0, all_or_nothing: false }
    }

    #[test]
    fn the_first_tier_is_served_whole_and_the_second_by_largest_remainder() {
        // Source: alder-yard.md 8.9 F (counter, harbour-cafe, pier-hotel, corner-deli).
        let wishes = [wish(2, 60), wish(2, 40), wish(1, 60), wish(2, 20)];
        assert_eq!(share(152, 1, &wishes), Ok(vec![46, 31, 60, 15]));
    }

    #[test]
    fn a_useless_share_goes_to_the_others_of_its_tier() {
        let small = Wish { minimum_useful: 6, ..wish(2, 10) };
        assert_eq!(share(10, 1, &[wish(2, 20), small]), Ok(vec![10, 0]));
    }

    #[test]
    fn parts_sum_to_the_whole() {
        // Source: check-values.md LR-01.
        assert_eq!(
            largest_remainder(10, &[47_000, 16_000, 15_900, 12_000, 6_000, 3_100]),
            Ok(vec![5, 2, 1, 1, 1, 0])
        );
    }
}
