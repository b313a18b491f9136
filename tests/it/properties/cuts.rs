//! The best cut agrees with trying every way to cut, and the fair cut breaks no rule.

use anyhow::{Context, Result, ensure};
use domain::share::{Claim, Claims, Least, Proof, Scarce, best, fair};
use weighhouse_tests::builders::Seed;

/// Seeded cases, each small enough to try every way.
const CASES: u64 = 500;

fn case(random: &mut Seed) -> Result<Claims> {
    let kinds = u32::try_from(random.between(2, 4))?;
    let mut claims = Claims::default();
    let packs: Vec<i64> = (0..kinds).map(|_| random.pick(&[1, 1, 1, 2, 3])).collect();
    let worths: Vec<i64> = (0..kinds).map(|_| random.between(1, 9)).collect();
    for _ in 0..random.between(3, 5) {
        let kind = u32::try_from(random.between(0, i64::from(kinds) - 1))?;
        let pieces = random.between(1, 7);
        let least = random.pick(&[1, 1, 2, 4, pieces]).min(pieces);
        claims.claims.push(Claim {
            kind,
            tier: random.between(1, 2),
            pieces,
            pack: packs[kind as usize],
            least,
            worth: worths[kind as usize],
        });
    }
    let of = |kind: u32| -> i64 {
        claims.claims.iter().filter(|claim| claim.kind == kind).map(|claim| claim.pieces).sum()
    };
    for _ in 0..random.between(1, 3) {
        let mut uses: Vec<(u32, i64)> = Vec::new();
        for kind in 0..kinds {
            if random.chance(70) {
                uses.push((kind, random.between(1, 40)));
            }
        }
        let wanted: i64 = uses.iter().map(|&(kind, each)| each * of(kind)).sum();
        claims.scarce.push(Scarce { capacity: wanted * random.between(20, 95) / 100, uses });
    }
    if random.chance(40) {
        let of: Vec<(u32, i64)> = vec![(0, random.between(1, 9)), (1, random.between(1, 9))];
        claims.doughs.push(Least { mass: random.between(2, 40), of });
    }
    Ok(claims)
}

/// Tries every way; the worth of each tier, the first tier first.
///
/// It shares nothing with what it checks but the case: rules are written out anew.
fn every_way(claims: &Claims) -> Vec<i64> {
    let mut tiers: Vec<i64> = claims.claims.iter().map(|claim| claim.tier).collect();
    tiers.sort_unstable();
    tiers.dedup();
    let mut most = vec![0; tiers.len()];
    let mut kept = vec![0_i64; claims.claims.len()];
    loop {
        let sum = |of: &[(u32, i64)]| -> i64 {
            let each = |kind: u32| of.iter().find(|(own, _)| *own == kind).map_or(0, |one| one.1);
            claims.claims.iter().zip(&kept).map(|(claim, n)| each(claim.kind) * n).sum()
        };
        let lines = claims.claims.iter().zip(&kept).all(|(claim, &n)| {
            n == 0 || n == claim.pieces || (n >= claim.least && n % claim.pack == 0)
        });
        let stock = claims.scarce.iter().all(|scarce| sum(&scarce.uses) <= scarce.capacity);
        let loads = claims.doughs.iter().all(|dough| {
            let mass = sum(&dough.of);
            mass == 0 || mass >= dough.mass
        });
        if lines && stock && loads {
            let worth = |tier: &i64| -> i64 {
                let own = claims.claims.iter().zip(&kept).filter(|(claim, _)| claim.tier == *tier);
                own.map(|(claim, n)| claim.worth * n).sum()
            };
            most = most.max(tiers.iter().map(worth).collect());
        }
        let Some(at) = (0..kept.len()).find(|&at| kept[at] < claims.claims[at].pieces) else {
            return most;
        };
        kept[..at].fill(0);
        kept[at] += 1;
    }
}

#[test]
fn the_best_cut_is_the_best_of_all_ways() -> Result<()> {
    let (mut bound, mut searched, mut unfair) = (0, 0, 0);
    for seed in 0..CASES {
        let claims = case(&mut Seed::new(seed))?;
        let fair = fair(&claims)?.kept;
        ensure!(
            claims.breach(&fair)?.is_none(),
            "seed {seed}: the fair cut {fair:?} of {claims:?}"
        );
        let best = best(&claims, &fair)?;
        ensure!(claims.breach(&best.kept)?.is_none(), "seed {seed}: {best:?}");
        let found: Vec<i64> =
            best.tiers.iter().map(|tier| i64::try_from(tier.worth)).collect::<Result<_, _>>()?;
        let most = every_way(&claims);
        ensure!(found == most, "seed {seed}: found {found:?}, there is {most:?} in {claims:?}");
        for tier in &best.tiers {
            ensure!(tier.bound >= tier.worth, "seed {seed}: {tier:?}");
            match tier.proof {
                Proof::Bound => bound += 1,
                Proof::Search => searched += 1,
                Proof::None => anyhow::bail!("seed {seed}: not proven: {tier:?}"),
            }
        }
        let again = domain::share::best(&claims, &fair).context("again")?;
        ensure!(again == best, "seed {seed}: another answer the second time");
        let tiers = claims.tiers();
        let last = tiers.last().copied().context("a tier")?;
        unfair += i32::from(claims.worth(&fair, last)? < claims.worth(&best.kept, last)?);
    }
    // Both proofs occur, and fairness costs something in many cases.
    ensure!(bound > 100 && searched > 20 && unfair > 50, "{bound}, {searched}, {unfair}");
    Ok(())
}
