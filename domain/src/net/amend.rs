//! A netting after some of its needs became larger or smaller.
//!
//! Where all lots are there from the first need to the end, all of an item is drawn in one
//! order, and a need is a stretch of it: from what was drawn before it to what it draws.
//! Needs after a changed one slide along, and only what slides from one lot into another, or
//! off the last one, gets something else.

use super::{Allocation, NetLot, Netting};
use jiff::Timestamp;

/// What is amended, beside the netting itself.
#[derive(Debug, Clone, Copy)]
pub struct AmendInput<'a> {
    /// Lots that may be used, as they were netted.
    pub lots: &'a [NetLot],
    /// From when on all of them must be there: the first need, or the moment for which the
    /// lots' figures stand if that is earlier.
    pub since: Timestamp,
    /// Up to when anything goes out of date.
    pub end: Option<Timestamp>,
    /// How long an opened pack is used, in minutes.
    pub opened_life_minutes: Option<i64>,
    /// Positions of the needs that are another amount, in order, with what they are now; none
    /// of them lies before the moment for which the lots' figures stand.
    pub changed: &'a [(usize, i64)],
}

/// All that there is of an item, as one stretch.
struct Stretch {
    /// Where each lot ends on it, in the order in which they are drawn, and its position.
    ends: Vec<(i64, usize)>,
    all: i64,
}

/// Amends a netting; leaves it as it is and says `false` where this way is not open.
pub fn amend(netting: &mut Netting, input: AmendInput<'_>) -> bool {
    let Some(stretch) = stretch(&input).filter(|_| netting.spoiled.is_empty()) else {
        return false;
    };
    let (Some(&(first, _)), true) =
        (input.changed.first(), input.changed.iter().all(|&(_, micro)| micro >= 0))
    else {
        return input.changed.is_empty();
    };
    let Netting { allocations, balances, short_micro, first_short, left_micro, .. } = netting;
    let mut changed = input.changed.iter().copied().peekable();
    while let Some(&(from, _)) = changed.peek() {
        let before = from.checked_sub(1).map_or(0, |before| stretch.all - balances[before]);
        let (mut was, mut is) = (before, before);
        balances.change_while(from, |at, balance| {
            let new = changed.next_if(|&(number, _)| number == at);
            if new.is_none() && was == is {
                return false;
            }
            let drawn = stretch.all - *balance - was;
            // Only what reaches the end of all that there is may be unmet.
            let unmet = if *balance == 0 { allocations[at].unmet_micro } else { 0 };
            let wanted = new.map_or(drawn + unmet, |(_, micro)| micro);
            let draws = wanted.min(stretch.all - is);
            if new.is_some() || draws != drawn || !stretch.in_one_lot((was, is), drawn) {
                let unmet_micro = wanted - draws;
                *short_micro += unmet_micro - unmet;
                allocations.set(at, Allocation { from: stretch.lots(is, draws), unmet_micro });
            }
            was += drawn;
            is += draws;
            *balance = stretch.all - is;
            true
        });
        *left_micro += was - is;
    }
    if *short_micro == 0 {
        *first_short = None;
    } else if first_short.is_none_or(|short| short >= first) {
        let mut rest = allocations.tail(first);
        *first_short = rest.position(|allocation| allocation.unmet_micro > 0).map(|at| first + at);
    }
    true
}

/// The lots one after another, if all of them are there throughout.
fn stretch(input: &AmendInput<'_>) -> Option<Stretch> {
    let mut lots: Vec<(usize, &NetLot)> =
        input.lots.iter().enumerate().filter(|(_, lot)| lot.micro > 0).collect();
    let throughout = |lot: &NetLot| {
        lot.from.is_none_or(|from| from <= input.since)
            && lot.until.is_none_or(|until| input.end.is_some_and(|end| until >= end))
    };
    let packs = input.opened_life_minutes.is_some() && !lots.is_empty();
    if packs || !lots.iter().all(|(_, lot)| throughout(lot)) {
        return None;
    }
    lots.sort_by_key(|(at, lot)| {
        (lot.until.unwrap_or(Timestamp::MAX), lot.received, lot.name.as_str(), *at)
    });
    let mut all = 0_i64;
    let mut ends = Vec::with_capacity(lots.len());
    for (at, lot) in lots {
        all = all.checked_add(lot.micro)?;
        ends.push((all, at));
    }
    Some(Stretch { ends, all })
}

impl Stretch {
    /// Whether the same amount, drawn from either of two places on, comes from one lot alone.
    fn in_one_lot(&self, (one, other): (i64, i64), micro: i64) -> bool {
        let (low, high) = (one.min(other), one.max(other));
        let end = self.ends.iter().map(|&(end, _)| end).find(|&end| end > low);
        micro == 0 || end.is_some_and(|end| high + micro <= end)
    }

    /// What comes from which lot if so much is drawn from a place on.
    fn lots(&self, from: i64, micro: i64) -> Vec<(usize, i64)> {
        let mut found = Vec::new();
        let (mut at, until) = (from, from + micro);
        for &(end, lot) in &self.ends {
            if at < until && end > at {
                let drawn = end.min(until) - at;
                found.push((lot, drawn));
                at += drawn;
            }
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::net::{NetInput, NetNeed, net};

    /// Sebastiano Vigna's splitmix64.
    fn below(seed: &mut u64, below: u64) -> i64 {
        *seed = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (*seed ^ (*seed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        i64::try_from((z ^ (z >> 31)) % below).expect("small")
    }

    fn at(day: i64) -> Timestamp {
        Timestamp::from_second(1_780_000_000 + day * 86_400).expect("an instant")
    }

    fn lots(seed: &mut u64) -> Vec<NetLot> {
        let lot = |number: i64, seed: &mut u64| NetLot {
            name: format!("L{number}"),
            received: jiff::civil::date(2026, 6, 1 + i8::try_from(below(seed, 3)).expect("small")),
            micro: below(seed, 60) - 5,
            from: None,
            until: (below(seed, 3) > 0).then(|| at(100 + below(seed, 3))),
            opened: None,
        };
        (0..below(seed, 4)).map(|number| lot(number, seed)).collect()
    }

    fn whole(needs: &[NetNeed], lots: &[NetLot], as_of: Timestamp) -> Netting {
        let end = Some(at(60));
        let (opened_life_minutes, inner_micro) = (None, None);
        net(NetInput { needs, lots, as_of, end, opened_life_minutes, inner_micro }).expect("nets")
    }

    #[test]
    fn what_is_amended_is_what_would_be_netted_anew() {
        for case in 0..2_000_u64 {
            let seed = &mut case.clone();
            let lots = lots(seed);
            let mut needs: Vec<NetNeed> = (0..1 + below(seed, 400))
                .map(|number| NetNeed { at: at(number / 7), micro: below(seed, 3) })
                .collect();
            let as_of = at(below(seed, 3));
            let mut netting = whole(&needs, &lots, as_of);
            let mut changed = Vec::new();
            for (number, need) in needs.iter_mut().enumerate() {
                if need.at >= as_of && below(seed, 40) == 0 {
                    need.micro = below(seed, 6);
                    changed.push((number, need.micro));
                }
            }
            let since = as_of.min(needs[0].at);
            let end = Some(at(60));
            let amending = AmendInput {
                lots: &lots,
                since,
                end,
                opened_life_minutes: None,
                changed: &changed,
            };
            assert!(amend(&mut netting, amending), "case {case} is steady");
            assert_eq!(netting, whole(&needs, &lots, as_of), "case {case}");
        }
    }

    #[test]
    fn a_lot_that_comes_ends_or_is_opened_in_between_is_netted_anew() {
        let lot = NetLot {
            name: "L".to_owned(),
            received: jiff::civil::date(2026, 6, 1),
            micro: 10,
            from: None,
            until: None,
            opened: None,
        };
        let changed = [(0, 3)];
        let way = |lot: &NetLot, opened_life_minutes| {
            let needs = [NetNeed { at: at(1), micro: 2 }];
            let lots = [lot.clone()];
            let (as_of, end) = (at(0), Some(at(9)));
            let input = NetInput {
                needs: &needs,
                lots: &lots,
                as_of,
                end,
                opened_life_minutes,
                inner_micro: None,
            };
            let mut netting = net(input).expect("nets");
            let (lots, since, changed) = (&lots, at(0), &changed);
            amend(&mut netting, AmendInput { lots, since, end, opened_life_minutes, changed })
        };
        assert!(way(&lot, None));
        assert!(!way(&lot, Some(60)));
        assert!(!way(&NetLot { from: Some(at(1)), ..lot.clone() }, None));
        assert!(!way(&NetLot { until: Some(at(8)), ..lot }, None));
    }
}
