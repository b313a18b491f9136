//! What the ledger is worth: each entry at what its lot cost, with nothing lost on the way.
//!
//! Entries are valued in the order in which they were written, so that what was valued once
//! never moves again. Values are whole millionths of a minor unit; each lot rounds the value of
//! what is left of it, and an entry is worth the step between two such values. All that came
//! in is therefore somewhere, to the last millionth.

use crate::ratio::{Overflow, Ratio};
use std::collections::BTreeSet;

/// Millionths of a minor unit.
pub type Worth = i128;

/// Millionths in a minor unit.
pub const WORTH: Worth = 1_000_000;

/// What a lot is worth by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LotPrice {
    /// Minor units for a millionth of its base unit.
    Paid(Ratio),
    /// It was bought, or came from nobody knows where, at a price that is not known.
    Unknown,
    /// It was made here: it is worth what went into it.
    Made,
}

/// A lot of the ledger.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ValuedLot {
    /// What is in it, as a number of the caller's; named where a price is missing.
    pub item: u32,
    /// What it is worth by itself.
    pub price: LotPrice,
}

/// Which way an entry carries value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Flow {
    /// It came in from outside.
    Received,
    /// It was made here out of work.
    Made,
    /// It went into work.
    Used,
    /// It was thrown away.
    Wasted,
    /// A count found more or less.
    Counted,
    /// It left for a customer.
    Sent,
    /// It went back to its supplier.
    Returned,
    /// It went from place to place.
    Moved,
}

/// One entry of the ledger; one that takes another back has the flow of that other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ValuedEntry {
    /// Position of the lot.
    pub lot: u32,
    /// Which way.
    pub flow: Flow,
    /// What it adds to the lot, in millionths of its base unit.
    pub amount_micro: i64,
    /// The work that it was for, by position.
    pub work: Option<u32>,
    /// Other work that what is made takes its part of, by position: the load whose dough the
    /// pieces of a making are divided from.
    pub part_of: Option<u32>,
    /// How much of what was put into work goes to it, against others made at once.
    pub weight: i64,
    /// Entries that were written at once have the same number.
    pub written: u32,
}

impl ValuedEntry {
    /// The work that others made at once share with it.
    const fn shared(&self) -> Option<u32> {
        match self.part_of {
            Some(work) => Some(work),
            None => self.work,
        }
    }
}

/// What is left of a lot or of work, and what it is worth.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Left {
    /// Millionths of the base unit; 0 for work, which has no amount.
    pub amount_micro: i128,
    /// As far as prices are known.
    pub worth: Worth,
    /// Items in it without a price.
    pub missing: BTreeSet<u32>,
}

/// The whole ledger, valued.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Valuation {
    /// What each entry adds to its lot, in the order of the entries.
    pub entries: Vec<Worth>,
    /// What is left of each lot.
    pub lots: Vec<Left>,
    /// What lies in each piece of work: put in, and not made into anything yet.
    pub works: Vec<Left>,
}

/// Values a ledger in the order in which it was written.
///
/// `gaps` names items that went into work without any entry: what is made there is worth at
/// least what is known.
///
/// # Errors
/// [`Overflow`]
pub fn value(
    lots: &[ValuedLot],
    works: usize,
    entries: &[ValuedEntry],
    gaps: &[(u32, u32)],
) -> Result<Valuation, Overflow> {
    let mut found = Valuation {
        entries: Vec::with_capacity(entries.len()),
        lots: vec![Left::default(); lots.len()],
        works: vec![Left::default(); works],
    };
    for &(work, item) in gaps {
        found.works[work as usize].missing.insert(item);
    }
    for (at, lot) in lots.iter().enumerate() {
        if lot.price == LotPrice::Unknown {
            found.lots[at].missing.insert(lot.item);
        }
    }
    let together = made_together(works, entries);
    let mut filled = vec![false; works];
    for (entry, together) in entries.iter().zip(together) {
        let lot = lots[entry.lot as usize];
        let worth = match (entry.flow, lot.price) {
            (Flow::Made, LotPrice::Made) => found.made(lot, (entry, together), &mut filled)?,
            (_, LotPrice::Paid(price)) => found.lots[entry.lot as usize].paid(price, entry)?,
            (_, LotPrice::Made) => found.lots[entry.lot as usize].carried(entry)?,
            (_, LotPrice::Unknown) => 0,
        };
        let left = &mut found.lots[entry.lot as usize];
        left.amount_micro =
            left.amount_micro.checked_add(entry.amount_micro.into()).ok_or(Overflow)?;
        left.worth = left.worth.checked_add(worth).ok_or(Overflow)?;
        if let (Flow::Used, Some(work)) = (entry.flow, entry.work) {
            let missing = left.missing.clone();
            let pool = &mut found.works[work as usize];
            pool.worth = pool.worth.checked_sub(worth).ok_or(Overflow)?;
            pool.missing.extend(missing);
            filled[work as usize] = true;
        }
        found.entries.push(worth);
    }
    Ok(found)
}

/// For each entry what it and those made with it after it weigh together: of the same work,
/// written at once, and until more is put in or taken back. Summed once, last to first.
fn made_together(works: usize, entries: &[ValuedEntry]) -> Vec<i128> {
    let mut sums: Vec<(u32, i128)> = vec![(0, 0); works];
    let mut together = vec![0; entries.len()];
    for (entry, together) in entries.iter().zip(&mut together).rev() {
        let Some(work) = entry.shared().filter(|_| matches!(entry.flow, Flow::Used | Flow::Made))
        else {
            continue;
        };
        let (written, sum) = &mut sums[work as usize];
        let is_made = entry.flow == Flow::Made && entry.amount_micro >= 0;
        let before = if *written == entry.written { *sum } else { 0 };
        *sum = if is_made { before + i128::from(entry.weight.max(1)) } else { 0 };
        (*written, *together) = (entry.written, *sum);
    }
    together
}

impl Left {
    /// The step between what is left before and after an entry, at a price that never changes.
    fn paid(&self, price: Ratio, entry: &ValuedEntry) -> Result<Worth, Overflow> {
        let after = self.amount_micro.checked_add(entry.amount_micro.into()).ok_or(Overflow)?;
        price
            .times(Ratio::whole(WORTH))?
            .times(Ratio::whole(after))?
            .round_half_up()?
            .checked_sub(self.worth)
            .ok_or(Overflow)
    }

    /// An entry's share of what a made lot is worth; beyond what is there, nothing is known.
    fn carried(&self, entry: &ValuedEntry) -> Result<Worth, Overflow> {
        if self.amount_micro <= 0 {
            return Ok(0);
        }
        let after = self.amount_micro.checked_add(entry.amount_micro.into()).ok_or(Overflow)?;
        // Less than nothing is worth nothing: the next count clears it.
        let kept = share(self.worth, after.max(0), self.amount_micro)?;
        kept.checked_sub(self.worth).ok_or(Overflow)
    }
}

impl Valuation {
    /// What a made lot takes out of its work: its share against all that is made with it, and
    /// all of what was put into its own making alone.
    fn made(
        &mut self,
        lot: ValuedLot,
        (entry, together): (&ValuedEntry, i128),
        filled: &mut [bool],
    ) -> Result<Worth, Overflow> {
        let left = &mut self.lots[entry.lot as usize];
        if entry.amount_micro < 0 {
            // Taken back: what it is worth returns to where it came from.
            let worth = left.carried(entry)?;
            if let Some(work) = entry.work {
                let pool = &mut self.works[work as usize];
                pool.worth = pool.worth.checked_sub(worth).ok_or(Overflow)?;
                filled[work as usize] = true;
            }
            return Ok(worth);
        }
        let mut worth: Worth = 0;
        let own = entry.part_of.and(entry.work).map(|work| (work, true));
        let all = own.into_iter().chain(entry.shared().map(|work| (work, false)));
        let mut known = false;
        for (work, whole) in all.filter(|(work, _)| filled[*work as usize]) {
            let pool = &mut self.works[work as usize];
            let taken = match whole {
                true => pool.worth,
                false => share(pool.worth, entry.weight.max(1).into(), together)?,
            };
            pool.worth = pool.worth.checked_sub(taken).ok_or(Overflow)?;
            worth = worth.checked_add(taken).ok_or(Overflow)?;
            left.missing.extend(&pool.missing);
            known |= Some(work) == entry.shared();
        }
        // Nobody wrote what it was made of, or not its dough.
        if !known {
            left.missing.insert(lot.item);
        }
        Ok(worth)
    }
}

fn share(worth: Worth, part: i128, whole: i128) -> Result<Worth, Overflow> {
    Ratio::new(part, whole)?.times(Ratio::whole(worth))?.round_half_up()
}

#[cfg(test)]
mod tests {
    use super::*;

    const FLOUR: u32 = 0;
    const MILK: u32 = 1;
    const DOUGH: u32 = 2;

    fn paid(item: u32, minor: i128, micro: i128) -> ValuedLot {
        ValuedLot { item, price: LotPrice::Paid(Ratio::new(minor, micro).expect("a price")) }
    }

    fn entry(lot: u32, flow: Flow, amount_micro: i64, work: Option<u32>) -> ValuedEntry {
        let weight = amount_micro.abs();
        ValuedEntry { lot, flow, amount_micro, work, part_of: None, weight, written: 0 }
    }

    #[test]
    fn a_thousand_small_uses_are_worth_what_they_are_together() {
        // Source: trade rules 7.23: 3125 cents per 12.5 kg; 7 g are 1.75 cents, 1 000 uses 1 750.
        let lots = [paid(FLOUR, 3_125, 12_500_000_000)];
        let mut entries = vec![entry(0, Flow::Received, 12_500_000_000, None)];
        entries.extend((0..1_000).map(|_| entry(0, Flow::Used, -7_000_000, Some(0))));
        let found = value(&lots, 1, &entries, &[]).expect("small");
        assert_eq!(found.entries[1], -1_750_000);
        assert_eq!(found.works[0].worth, 1_750 * WORTH);
        assert_eq!(found.lots[0].worth, 1_375 * WORTH);
    }

    #[test]
    fn what_went_into_work_comes_out_of_it_whole() {
        let lots = [
            paid(FLOUR, 100, 3_000_000),
            ValuedLot { item: MILK, price: LotPrice::Unknown },
            ValuedLot { item: DOUGH, price: LotPrice::Made },
            ValuedLot { item: DOUGH, price: LotPrice::Made },
        ];
        let entries = [
            entry(0, Flow::Received, 3_000_000, None),
            entry(1, Flow::Received, 5_000_000, None),
            entry(0, Flow::Used, -1_000_000, Some(0)),
            entry(1, Flow::Used, -1_000_000, Some(0)),
            entry(2, Flow::Made, 1_000_000, Some(0)),
            entry(3, Flow::Made, 500_000, Some(0)),
            entry(2, Flow::Wasted, -400_000, None),
            entry(2, Flow::Sent, -600_000, None),
        ];
        let found = value(&lots, 1, &entries, &[]).expect("small");
        let third = 33_333_333;
        assert_eq!(found.works[0].worth, 0);
        assert_eq!(found.entries[4] + found.entries[5], third);
        assert_eq!(found.lots[2].worth, 0, "nothing of it is left");
        assert_eq!(found.entries[6] + found.entries[7], -found.entries[4]);
        assert_eq!(found.lots[3].missing, BTreeSet::from([MILK]), "the milk has no price");
        let left: Worth = found.lots.iter().map(|lot| lot.worth).sum();
        let out = -(found.entries[6] + found.entries[7]);
        assert_eq!(left + out, 100 * WORTH);
    }

    #[test]
    fn less_than_nothing_in_the_book_is_valued_at_what_it_cost_and_made_good_by_a_count() {
        // Source: trade rules, part 4: negative book stock, valued at last known price.
        let lots = [paid(FLOUR, 85, 1_000_000)];
        let entries = [
            entry(0, Flow::Received, 1_000_000, None),
            entry(0, Flow::Used, -3_000_000, Some(0)),
            entry(0, Flow::Counted, 2_000_000, None),
        ];
        let found = value(&lots, 1, &entries, &[]).expect("small");
        assert_eq!(found.works[0].worth, 255 * WORTH);
        assert_eq!(found.entries[2], 170 * WORTH);
        assert_eq!(found.lots[0].worth, 0);
    }

    #[test]
    fn what_nobody_wrote_down_makes_it_an_at_least() {
        let lots = [paid(FLOUR, 85, 1_000_000), ValuedLot { item: DOUGH, price: LotPrice::Made }];
        let entries = [
            entry(0, Flow::Received, 1_000_000, None),
            entry(0, Flow::Used, -1_000_000, Some(0)),
            entry(1, Flow::Made, 2_000_000, Some(0)),
        ];
        let found = value(&lots, 1, &entries, &[(0, MILK)]).expect("small");
        assert_eq!(found.lots[1].missing, BTreeSet::from([MILK]));
        // Made of nothing that anybody wrote: not known, and not free.
        let lone = value(&lots, 1, &entries[2..], &[]).expect("small");
        assert_eq!(lone.lots[1].missing, BTreeSet::from([DOUGH]));
    }

    #[test]
    fn pieces_of_one_dough_share_it_by_weight_and_keep_their_own_toppings() {
        const SUGAR: u32 = 4;
        let made = |item| ValuedLot { item, price: LotPrice::Made };
        let lots = [
            paid(FLOUR, 100, 1_000_000),
            paid(SUGAR, 100, 1_000_000),
            made(DOUGH),
            made(5),
            made(6),
        ];
        // Work 0 is the load; 1 and 2 are the makings of two products of its dough.
        let piece = |lot, work, weight| ValuedEntry {
            part_of: Some(0),
            weight,
            ..entry(lot, Flow::Made, 1_000_000, Some(work))
        };
        let mut entries = vec![
            entry(0, Flow::Used, -3_000_000, Some(0)),
            entry(2, Flow::Made, 3_000_000, Some(0)),
            ValuedEntry { written: 1, ..entry(2, Flow::Used, -3_000_000, Some(0)) },
        ];
        let baked = [
            entry(1, Flow::Used, -500_000, Some(1)),
            piece(3, 1, 1),
            entry(3, Flow::Wasted, -100_000, Some(0)),
            piece(4, 2, 2),
        ];
        entries.extend(baked.map(|entry| ValuedEntry { written: 2, ..entry }));
        let found = value(&lots, 3, &entries, &[]).expect("small");
        // By hand: a third and two thirds of 300, and 50 of sugar on the first.
        assert_eq!(found.entries[4], 150 * WORTH);
        assert_eq!(found.entries[6], 200 * WORTH);
        assert_eq!(found.works.iter().map(|work| work.worth).sum::<Worth>(), 0);
        // Counted again: what it is worth comes back to it, toppings included.
        let again = [
            ValuedEntry { amount_micro: 100_000, written: 3, ..entries[5] },
            ValuedEntry { amount_micro: -1_000_000, written: 3, ..entries[4] },
            ValuedEntry { amount_micro: 900_000, written: 3, ..entries[4] },
        ];
        entries.extend(again);
        let again = value(&lots, 3, &entries, &[]).expect("small");
        assert_eq!(again.lots[3].worth, 150 * WORTH);
        assert_eq!(again.lots[4].worth, 200 * WORTH);
        assert_eq!(again.entries[..7], found.entries, "what was valued once never moves");
        // Later pieces of the same dough never change what earlier ones cost.
        entries.push(ValuedEntry { written: 4, ..piece(4, 2, 50) });
        let later = value(&lots, 3, &entries, &[]).expect("small");
        assert_eq!(later.entries[..10], again.entries);
    }
}
