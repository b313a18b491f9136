//! Claims of order lines on what is scarce: the exact rules that every way to cut obeys.

use crate::ratio::Overflow;

/// One order line that asks for pieces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Claim {
    /// What it asks for; claims of one kind take the same of everything.
    pub kind: u32,
    /// Tier 1 is served first.
    pub tier: i64,
    /// Pieces asked.
    pub pieces: i64,
    /// Pieces go in multiples of this, unless all that is asked is given.
    pub pack: i64,
    /// Fewer pieces than this are of no use; all that is asked for all or nothing.
    pub least: i64,
    /// What a piece is worth, in minor units of money or in pieces.
    pub worth: i64,
}

impl Claim {
    /// Whether it can be given so many pieces: nothing, all, or whole packs of use.
    #[must_use]
    pub fn allows(&self, pieces: i64) -> bool {
        let packs = pieces >= self.least && pieces % self.pack.max(1) == 0;
        pieces == 0 || pieces == self.pieces || (packs && (0..self.pieces).contains(&pieces))
    }

    /// The most pieces up to a number that it can be given.
    #[must_use]
    pub fn at_most(&self, pieces: i64) -> i64 {
        if pieces >= self.pieces {
            return self.pieces.max(0);
        }
        let packs = pieces.max(0) / self.pack.max(1) * self.pack.max(1);
        if packs >= self.least { packs } else { 0 }
    }

    /// The fewest pieces above a number that it can be given; none if it has all.
    #[must_use]
    pub fn above(&self, pieces: i64) -> Option<i64> {
        let pack = self.pack.max(1);
        let least =
            self.least.max(1).div_euclid(pack) + i64::from(self.least.max(1).rem_euclid(pack) > 0);
        let packs = (pieces / pack + 1).max(least).saturating_mul(pack);
        (pieces < self.pieces).then(|| packs.min(self.pieces))
    }
}

/// Something of which there is too little: an ingredient up to an instant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scarce {
    /// What there is, in millionths of its base unit.
    pub capacity: i64,
    /// What a piece of each kind takes, in the same; a kind stands here once.
    pub uses: Vec<(u32, i64)>,
}

/// A dough that its mixer does not take below a mass.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Least {
    /// The mass of its pieces is nothing or at least this, in micrograms.
    pub mass: i64,
    /// What a piece of each kind weighs in it, in the same; a kind stands here once.
    pub of: Vec<(u32, i64)>,
}

/// All claims, and what there is for them.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Claims {
    /// Claims, older first, ties as listed.
    pub claims: Vec<Claim>,
    /// What is scarce.
    pub scarce: Vec<Scarce>,
    /// Doughs with a smallest load.
    pub doughs: Vec<Least>,
}

/// Which rule a way to cut breaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Breach {
    /// A claim cannot be given so many pieces.
    Pieces(usize),
    /// More is taken than there is.
    Scarce(usize),
    /// A load is under its mixer's minimum.
    Dough(usize),
}

impl Claims {
    /// Pieces of each kind.
    fn pieces(&self, kept: &[i64]) -> Vec<i64> {
        let kinds = self.claims.iter().map(|claim| claim.kind as usize + 1).max().unwrap_or(0);
        let mut pieces = vec![0; kinds];
        for (claim, kept) in self.claims.iter().zip(kept) {
            pieces[claim.kind as usize] += kept;
        }
        pieces
    }

    /// What is left of something scarce; below zero if more is taken.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn left(&self, kept: &[i64], scarce: &Scarce) -> Result<i128, Overflow> {
        Ok(i128::from(scarce.capacity) - taken(&self.pieces(kept), &scarce.uses)?)
    }

    /// The mass of a dough.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn mass(&self, kept: &[i64], dough: &Least) -> Result<i128, Overflow> {
        taken(&self.pieces(kept), &dough.of)
    }

    /// The first rule that a way to cut breaks, in whole numbers; none if it can be.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn breach(&self, kept: &[i64]) -> Result<Option<Breach>, Overflow> {
        let broken = |(claim, pieces): (&Claim, &i64)| !claim.allows(*pieces);
        if kept.len() != self.claims.len() {
            return Ok(Some(Breach::Pieces(kept.len().min(self.claims.len()))));
        }
        if let Some(at) = self.claims.iter().zip(kept).position(broken) {
            return Ok(Some(Breach::Pieces(at)));
        }
        let pieces = self.pieces(kept);
        for (at, scarce) in self.scarce.iter().enumerate() {
            if taken(&pieces, &scarce.uses)? > scarce.capacity.into() {
                return Ok(Some(Breach::Scarce(at)));
            }
        }
        for (at, dough) in self.doughs.iter().enumerate() {
            let mass = taken(&pieces, &dough.of)?;
            if mass > 0 && mass < dough.mass.into() {
                return Ok(Some(Breach::Dough(at)));
            }
        }
        Ok(None)
    }

    /// What is kept in a tier, in worth.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn worth(&self, kept: &[i64], tier: i64) -> Result<i128, Overflow> {
        let of_tier = self.claims.iter().zip(kept).filter(|(claim, _)| claim.tier == tier);
        of_tier
            .map(|(claim, &pieces)| i128::from(claim.worth) * i128::from(pieces))
            .try_fold(0_i128, |sum, worth| sum.checked_add(worth).ok_or(Overflow))
    }

    /// Tiers, first served first.
    #[must_use]
    pub fn tiers(&self) -> Vec<i64> {
        let mut tiers: Vec<i64> = self.claims.iter().map(|claim| claim.tier).collect();
        tiers.sort_unstable();
        tiers.dedup();
        tiers
    }

    /// Mends what can be: fewer pieces where more is taken than there is, none of a dough
    /// under its minimum, then more wherever that breaks no rule, older claims first.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn mend(&self, kept: &mut [i64]) -> Result<(), Overflow> {
        for (claim, pieces) in self.claims.iter().zip(kept.iter_mut()) {
            *pieces = claim.at_most(*pieces);
        }
        while let Some(breach) = self.breach(kept)? {
            match breach {
                Breach::Scarce(at) => self.give_back(kept, &self.scarce[at])?,
                Breach::Dough(at) => {
                    for (claim, pieces) in self.claims.iter().zip(kept.iter_mut()) {
                        if each_of(&self.doughs[at].of, claim.kind) > 0 {
                            *pieces = 0;
                        }
                    }
                }
                Breach::Pieces(at) => kept[at] = 0,
            }
        }
        let mut order: Vec<usize> = (0..self.claims.len()).collect();
        order.sort_by_key(|&at| (self.claims[at].tier, -self.claims[at].worth, at));
        for at in order {
            self.fill(kept, at)?;
        }
        Ok(())
    }

    /// As much more of one claim as breaks no rule.
    fn fill(&self, kept: &mut [i64], at: usize) -> Result<(), Overflow> {
        let (claim, before) = (&self.claims[at], kept[at]);
        let pieces = self.pieces(kept);
        let mut room = i128::from(claim.pieces - before);
        for scarce in &self.scarce {
            let each = each_of(&scarce.uses, claim.kind);
            if each > 0 {
                let left = i128::from(scarce.capacity) - taken(&pieces, &scarce.uses)?;
                room = room.min(left / i128::from(each));
            }
        }
        let most = i128::from(before) + room;
        kept[at] = claim.at_most(i64::try_from(most).map_err(|_| Overflow)?).max(before);
        if kept[at] > before && self.breach(kept)?.is_some() {
            kept[at] = before;
        }
        Ok(())
    }

    /// What is too much is taken from the claim that is served last of those on it.
    fn give_back(&self, kept: &mut [i64], scarce: &Scarce) -> Result<(), Overflow> {
        let over = -self.left(kept, scarce)?;
        let each = |at: usize| i128::from(each_of(&scarce.uses, self.claims[at].kind));
        let giving = (0..kept.len()).filter(|&at| kept[at] > 0 && each(at) > 0);
        let last = giving.max_by_key(|&at| (self.claims[at].tier, -self.claims[at].worth, at));
        let Some(at) = last else { return Err(Overflow) };
        let less = i64::try_from((over + each(at) - 1) / each(at)).map_err(|_| Overflow)?;
        kept[at] = self.claims[at].at_most(kept[at].saturating_sub(less.max(1)));
        Ok(())
    }
}

/// What a kind takes a piece, by a list of kinds.
fn each_of(of: &[(u32, i64)], kind: u32) -> i64 {
    of.iter().find(|(own, _)| *own == kind).map_or(0, |&(_, each)| each)
}

/// What all kinds take together, for the pieces of each.
fn taken(pieces: &[i64], uses: &[(u32, i64)]) -> Result<i128, Overflow> {
    uses.iter().try_fold(0_i128, |sum, &(kind, each)| {
        let pieces = pieces.get(kind as usize).copied().unwrap_or(0);
        let taken = i128::from(pieces).checked_mul(each.into()).ok_or(Overflow)?;
        sum.checked_add(taken).ok_or(Overflow)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const CLAIM: Claim = Claim { kind: 0, tier: 2, pieces: 20, pack: 6, least: 7, worth: 3 };

    #[test]
    fn a_claim_takes_nothing_all_or_whole_packs_of_use() {
        let allowed: Vec<i64> = (-6..=30).filter(|&pieces| CLAIM.allows(pieces)).collect();
        assert_eq!(allowed, [0, 12, 18, 20]);
        assert_eq!(
            [5, 6, 12, 17, 19, 20, 99].map(|n| CLAIM.at_most(n)),
            [0, 0, 12, 12, 18, 20, 20]
        );
        assert_eq!([0, 12, 18, 20].map(|n| CLAIM.above(n)), [Some(12), Some(18), Some(20), None]);
    }

    #[test]
    fn what_is_mended_breaks_no_rule() {
        let claims = Claims {
            claims: vec![CLAIM, Claim { kind: 1, tier: 1, pieces: 9, pack: 1, least: 1, worth: 1 }],
            scarce: vec![Scarce { capacity: 100, uses: vec![(0, 4), (1, 5)] }],
            doughs: vec![Least { mass: 50, of: vec![(0, 4)] }],
        };
        let mut kept = vec![20, 9];
        assert_eq!(claims.breach(&kept), Ok(Some(Breach::Scarce(0))));
        claims.mend(&mut kept).unwrap();
        // 12 x 4 + 9 x 5 = 93 fits, and 48 is under the minimum of 50.
        assert_eq!((claims.breach(&kept), kept), (Ok(None), vec![0, 9]));
    }
}
