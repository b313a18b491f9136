//! The best cut of a large shortage: 300 products, 120 short ingredients.
//!
//! `cargo bench -p domain --bench best_cut` prints how long each seeded case takes on one
//! core and how far its answer is from its bound. Nothing is asserted: a busy machine must
//! not fail a build.

use domain::share::{Claim, Claims, Least, Scarce, best, fair};
use std::{io::Write as _, time::Instant};

const PRODUCTS: u32 = 300;
const INGREDIENTS: u32 = 120;

/// Numbers that look random and are the same in every run: a linear congruence.
///
/// # Source
/// D. E. Knuth, MMIX: multiplier 6364136223846793005, increment 1442695040888963407.
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, end: u64) -> u64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % end
    }

    fn between(&mut self, from: i64, to: i64) -> i64 {
        let width = u64::try_from(to - from + 1).unwrap_or(1);
        from + i64::try_from(self.below(width)).unwrap_or(0)
    }
}

/// Products of three customers each, in three tiers, packs, useful numbers and doughs.
fn case(seed: u64, ruled: bool) -> Claims {
    let mut random = Numbers(seed);
    let mut claims = Claims::default();
    for kind in 0..PRODUCTS {
        let (worth, pack) = (random.between(80, 900), [1, 1, 6, 12][kind as usize % 4]);
        for tier in 1..=3 {
            let pieces = random.between(6, 240);
            let least = if ruled { random.between(1, 12).min(pieces) } else { 1 };
            let pack = if ruled { pack } else { 1 };
            claims.claims.push(Claim { kind, tier, pieces, pack, least, worth });
        }
    }
    for _ in 0..INGREDIENTS {
        let mut uses = Vec::new();
        for kind in 0..PRODUCTS {
            if random.below(100) < 8 {
                uses.push((kind, random.between(500_000, 60_000_000)));
            }
        }
        let wanted: i64 = claims
            .claims
            .iter()
            .map(|claim| {
                let each = uses.iter().find(|(kind, _)| *kind == claim.kind);
                each.map_or(0, |(_, each)| each * claim.pieces)
            })
            .sum();
        claims.scarce.push(Scarce { capacity: wanted / 100 * random.between(50, 97), uses });
    }
    if ruled {
        for dough in 0..40 {
            let of: Vec<(u32, i64)> = (0..PRODUCTS)
                .filter(|kind| kind % 40 == dough)
                .map(|kind| (kind, 80_000))
                .collect();
            claims.doughs.push(Least { mass: 4_000_000, of });
        }
    }
    claims
}

fn main() {
    let mut out = std::io::stdout().lock();
    for (seed, ruled) in [(1, false), (2, false), (3, true), (4, true)] {
        let claims = case(seed, ruled);
        let start = Instant::now();
        let answer = fair(&claims).and_then(|fair| {
            let shared = start.elapsed();
            best(&claims, &fair.kept).map(|best| (shared, best))
        });
        let took = start.elapsed();
        let rules = if ruled { "packs, useful numbers, 40 doughs" } else { "single pieces" };
        // A closed pipe is no reason to fail.
        let _ = writeln!(
            out,
            "seed {seed}: {} claims on {PRODUCTS} products, {INGREDIENTS} ingredients, {rules}",
            claims.claims.len()
        );
        match answer {
            Ok((shared, best)) => {
                let _ = writeln!(out, "  fair {shared:?}, fair and best {took:?}");
                for tier in best.tiers {
                    let _ = writeln!(
                        out,
                        "  tier {}: kept {}, at most {} ({:?})",
                        tier.tier, tier.worth, tier.bound, tier.proof
                    );
                }
            }
            Err(error) => {
                let _ = writeln!(out, "  {error}");
            }
        }
    }
}
