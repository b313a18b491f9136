//! The fair cut: inside a tier everybody gives up the same part.

use super::{
    Wish,
    claims::{Breach, Claims},
    share,
};
use crate::ratio::{Overflow, Ratio};
use std::collections::BTreeMap;

/// A fair cut, and the doughs that it does without.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Fair {
    /// Pieces of each claim.
    pub kept: Vec<i64>,
    /// Positions of doughs left out whole, because what was left of each was under its
    /// mixer's minimum; smallest first.
    pub left_out: Vec<u32>,
}

/// Shares what is scarce fairly among all claims on it.
///
/// Tier by tier the same part of every claim rises until something is used up; claims
/// on that stop there and the others go on. Each kind then has whole packs, what is
/// left over goes to the kinds with the most pieces, and inside a kind [`share`] deals
/// it out. The smallest dough under its mixer's minimum is left out and all is shared
/// again, for one dough dropped is better than five below minimum.
///
/// # Errors
/// [`Overflow`]
pub fn fair(claims: &Claims) -> Result<Fair, Overflow> {
    let mut left_out: Vec<u32> = Vec::new();
    loop {
        let kept = deal(claims, &left_out)?;
        let mut small: Vec<(i128, u32)> = Vec::new();
        for (at, dough) in (0_u32..).zip(&claims.doughs) {
            let mass = claims.mass(&kept, dough)?;
            if mass > 0 && mass < dough.mass.into() {
                small.push((mass, at));
            }
        }
        match small.into_iter().min() {
            Some((_, smallest)) => left_out.push(smallest),
            None => return Ok(Fair { kept, left_out }),
        }
    }
}

fn deal(claims: &Claims, left_out: &[u32]) -> Result<Vec<i64>, Overflow> {
    let out = |kind: u32| {
        let doughs = left_out.iter().map(|&at| &claims.doughs[at as usize]);
        doughs.into_iter().any(|dough| dough.of.iter().any(|&(of, _)| of == kind))
    };
    let mut kept = vec![0; claims.claims.len()];
    for tier in claims.tiers() {
        let mut asked: BTreeMap<u32, i64> = BTreeMap::new();
        for claim in &claims.claims {
            if claim.tier == tier && !out(claim.kind) && claim.pieces > 0 {
                *asked.entry(claim.kind).or_default() += claim.pieces;
            }
        }
        let parts = parts(claims, &kept, &asked)?;
        let quotas = quotas(claims, tier, &asked, &parts)?;
        for (&kind, &quota) in &quotas {
            give(claims, (tier, kind), quota, &mut kept)?;
        }
        // What the packs and the smallest useful numbers left over.
        let mut most: Vec<(u32, i64)> = asked.iter().map(|(&kind, &all)| (kind, all)).collect();
        most.sort_by_key(|&(kind, all)| (-all, kind));
        for (kind, all) in most {
            more(claims, (tier, kind), all, &mut kept)?;
        }
    }
    Ok(kept)
}

/// The part of each kind that can be had if all kinds rise together.
fn parts(
    claims: &Claims,
    kept: &[i64],
    asked: &BTreeMap<u32, i64>,
) -> Result<BTreeMap<u32, Ratio>, Overflow> {
    let mut found: BTreeMap<u32, Ratio> = BTreeMap::new();
    let mut left = Vec::with_capacity(claims.scarce.len());
    for scarce in &claims.scarce {
        left.push(claims.left(kept, scarce)?.max(0));
    }
    while found.len() < asked.len() {
        let rising = |kind: &u32| asked.contains_key(kind) && !found.contains_key(kind);
        let mut stop: Option<(Ratio, usize)> = None;
        for (at, scarce) in claims.scarce.iter().enumerate() {
            let mut wanted = 0_i128;
            for (kind, each) in scarce.uses.iter().filter(|(kind, _)| rising(kind)) {
                wanted += i128::from(asked[kind]) * i128::from(*each);
            }
            if wanted > 0 {
                let part = Ratio::new(left[at], wanted)?;
                if stop.is_none_or(|(least, _)| part < least) {
                    stop = Some((part, at));
                }
            }
        }
        let stopped: Vec<(u32, Ratio)> = match stop {
            Some((part, at)) if part < Ratio::ONE => {
                let uses = claims.scarce[at].uses.iter().filter(|(_, each)| *each > 0);
                uses.map(|&(kind, _)| kind).filter(rising).map(|kind| (kind, part)).collect()
            }
            _ => asked.keys().copied().filter(rising).map(|kind| (kind, Ratio::ONE)).collect(),
        };
        for (kind, part) in stopped {
            let pieces = Ratio::whole(asked[&kind].into()).times(part)?;
            for (scarce, left) in claims.scarce.iter().zip(&mut left) {
                for (_, each) in scarce.uses.iter().filter(|(of, _)| *of == kind) {
                    // Up to a millionth of a gram more than they take: fractions stay small.
                    *left -= pieces.times(Ratio::whole((*each).into()))?.ceil().min(*left);
                }
            }
            found.insert(kind, part);
        }
    }
    Ok(found)
}

/// Whole packs of each kind.
fn quotas(
    claims: &Claims,
    tier: i64,
    asked: &BTreeMap<u32, i64>,
    parts: &BTreeMap<u32, Ratio>,
) -> Result<BTreeMap<u32, i64>, Overflow> {
    let mut quotas = BTreeMap::new();
    for (&kind, &all) in asked {
        let part = parts.get(&kind).copied().unwrap_or(Ratio::ZERO);
        let pieces = Ratio::whole(all.into()).times(part)?.floor();
        let pieces = i64::try_from(pieces).map_err(|_| Overflow)?;
        let pack = pack_of(claims, tier, kind);
        quotas.insert(kind, if pieces >= all { all } else { pieces / pack * pack });
    }
    Ok(quotas)
}

fn pack_of(claims: &Claims, tier: i64, kind: u32) -> i64 {
    let own = claims.claims.iter().find(|claim| claim.tier == tier && claim.kind == kind);
    own.map_or(1, |claim| claim.pack.max(1))
}

/// Deals out the pieces of one kind inside a tier.
fn give(
    claims: &Claims,
    (tier, kind): (i64, u32),
    quota: i64,
    kept: &mut [i64],
) -> Result<(), Overflow> {
    let own: Vec<usize> = (0..kept.len())
        .filter(|&at| claims.claims[at].tier == tier && claims.claims[at].kind == kind)
        .collect();
    let wishes: Vec<Wish> = own
        .iter()
        .map(|&at| &claims.claims[at])
        .map(|claim| Wish {
            tier,
            pieces: claim.pieces,
            minimum_useful: claim.least,
            all_or_nothing: claim.least >= claim.pieces,
        })
        .collect();
    for (at, pieces) in own.into_iter().zip(share(quota, pack_of(claims, tier, kind), &wishes)?) {
        kept[at] = pieces;
    }
    Ok(())
}

/// One pack more of a kind, if that takes no more than there is.
fn more(
    claims: &Claims,
    (tier, kind): (i64, u32),
    all: i64,
    kept: &mut [i64],
) -> Result<(), Overflow> {
    let in_tier = |kept: &[i64]| -> i64 {
        let own = claims.claims.iter().zip(kept);
        own.filter(|(claim, _)| claim.tier == tier && claim.kind == kind).map(|(_, n)| n).sum()
    };
    let before = kept.to_vec();
    let quota = (in_tier(kept) + pack_of(claims, tier, kind)).min(all);
    give(claims, (tier, kind), quota, kept)?;
    let fits = !matches!(claims.breach(kept)?, Some(Breach::Scarce(_) | Breach::Pieces(_)));
    if !fits || in_tier(kept) <= in_tier(&before) {
        kept.copy_from_slice(&before);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::{super::claims::*, *};

    fn claim(kind: u32, tier: i64, pieces: i64) -> Claim {
        Claim { kind, tier, pieces, pack: 1, least: 1, worth: 1 }
    }

    #[test]
    fn one_scarce_product_is_shared_as_ever() {
        // Source: alder-yard.md 8.9 F.
        let claims = Claims {
            claims: vec![claim(0, 2, 60), claim(0, 2, 40), claim(0, 1, 60), claim(0, 2, 20)],
            scarce: vec![Scarce { capacity: 152, uses: vec![(0, 1)] }],
            doughs: Vec::new(),
        };
        assert_eq!(fair(&claims).unwrap().kept, [46, 31, 60, 15]);
    }

    #[test]
    fn butter_is_shared_at_one_fill_rate_and_the_rest_goes_to_the_most_pieces() {
        // Source: check-values.md OR-04: 7.0 / 10.4 kg, floors 67, 20, 40, then one croissant.
        let claims = Claims {
            claims: vec![claim(0, 2, 100), claim(1, 2, 30), claim(2, 2, 60)],
            scarce: vec![Scarce { capacity: 7_000, uses: vec![(0, 50), (1, 120), (2, 30)] }],
            doughs: Vec::new(),
        };
        let kept = fair(&claims).unwrap().kept;
        assert_eq!(kept, [68, 20, 40]);
        assert_eq!(claims.left(&kept, &claims.scarce[0]), Ok(0));
    }

    #[test]
    fn a_dough_below_its_minimum_is_left_out_and_the_others_have_its_part() {
        let claims = Claims {
            claims: vec![claim(0, 2, 100), claim(1, 2, 20)],
            scarce: vec![Scarce { capacity: 60, uses: vec![(0, 1), (1, 1)] }],
            doughs: vec![Least { mass: 15, of: vec![(1, 1)] }],
        };
        assert_eq!(fair(&claims), Ok(Fair { kept: vec![60, 0], left_out: vec![0] }));
    }

    #[test]
    fn what_needs_nothing_scarce_is_not_cut() {
        let claims = Claims {
            claims: vec![claim(0, 2, 10), claim(1, 2, 10), claim(2, 2, 10)],
            scarce: vec![
                Scarce { capacity: 5, uses: vec![(0, 1)] },
                Scarce { capacity: 12, uses: vec![(0, 1), (1, 1)] },
            ],
            doughs: Vec::new(),
        };
        assert_eq!(fair(&claims).unwrap().kept, [5, 7, 10]);
    }
}
