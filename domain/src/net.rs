//! Needs in time against the lots of one item, first expired first out.

mod amend;
mod order;
mod period;

pub use amend::{AmendInput, amend};
pub use order::{OrderQuantity, OrderQuantityInput, order_quantity};
pub use period::{LotRule, PeriodInput, Periods, periods};

use crate::{
    calendar::{OutOfCalendar, add_minutes},
    rows::Rows,
};
use jiff::Timestamp;
use std::cmp::Reverse;

/// One need of the item, in millionths of its base unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NetNeed {
    /// The start of the step that takes it.
    pub at: Timestamp,
    /// How much.
    pub micro: i64,
}

/// One lot as netting sees it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NetLot {
    /// Its name, for ties.
    pub name: String,
    /// When it came in, for ties.
    pub received: jiff::civil::Date,
    /// What is there; below zero counts as nothing.
    pub micro: i64,
    /// From when it can be used; always if not said.
    pub from: Option<Timestamp>,
    /// Last instant of use; never ends if not said.
    pub until: Option<Timestamp>,
    /// When its open pack was opened.
    pub opened: Option<Timestamp>,
}

/// What is netted.
#[derive(Debug, Clone, Copy)]
pub struct NetInput<'a> {
    /// Needs in order of time.
    pub needs: &'a [NetNeed],
    /// Lots that may be used, in any order.
    pub lots: &'a [NetLot],
    /// The moment for which the lots' figures stand: earlier needs are in them.
    pub as_of: Timestamp,
    /// Up to when anything goes out of date, if that is later than the last need.
    pub end: Option<Timestamp>,
    /// How long an opened pack is used, in minutes.
    pub opened_life_minutes: Option<i64>,
    /// What one inner pack holds; the whole lot is one if not said.
    pub inner_micro: Option<i64>,
}

/// What one need gets.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Allocation {
    /// Position of a lot, and how much of it.
    pub from: Vec<(usize, i64)>,
    /// What no lot covers.
    pub unmet_micro: i64,
}

/// What goes out of date before a need takes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spoiled {
    /// Position of the lot.
    pub lot: usize,
    /// How much of it.
    pub micro: i64,
    /// Its last instant.
    pub at: Timestamp,
}

/// All needs of one item against its lots.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Netting {
    /// For each need, in order.
    pub allocations: Rows<Allocation>,
    /// What is usable right after each need, in millionths.
    pub balances: Rows<i64>,
    /// What goes out of date up to the end.
    pub spoiled: Vec<Spoiled>,
    /// What no lot covers, over all needs.
    pub short_micro: i64,
    /// Position of the first need that is not covered.
    pub first_short: Option<usize>,
    /// What is left at the end, and in date.
    pub left_micro: i64,
}

/// A lot while it is drawn from.
struct Shelf {
    lot: usize,
    sealed: i64,
    open: i64,
    open_until: Option<Timestamp>,
}

/// Nets needs against lots: what is left is used, the rest stays unmet.
///
/// Order: last instant of use, open before sealed, oldest receipt, lot name. An
/// arrival at the minute of a need counts for it. A lot's sealed inner packs are
/// opened one by one, and each is used within its opened life.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn net(input: NetInput<'_>) -> Result<Netting, OutOfCalendar> {
    let mut shelves = Vec::with_capacity(input.lots.len());
    for (lot, found) in input.lots.iter().enumerate() {
        shelves.push(shelf(&input, lot, found)?);
    }
    let mut netting = Netting::default();
    for (number, need) in input.needs.iter().enumerate() {
        let mut allocation = Allocation::default();
        // Needs before the figures were taken are in them already.
        if need.at >= input.as_of {
            spoil(&input, &mut shelves, need.at, &mut netting.spoiled);
            allocation.unmet_micro = draw(&input, &mut shelves, need, &mut allocation.from)?;
        }
        netting.balances.push(usable(&input, &shelves, need.at));
        if allocation.unmet_micro > 0 {
            netting.first_short.get_or_insert(number);
            netting.short_micro += allocation.unmet_micro;
        }
        netting.allocations.push(allocation);
    }
    let last = input.needs.last().map(|need| need.at);
    if let Some(end) = input.end.max(last) {
        spoil(&input, &mut shelves, end, &mut netting.spoiled);
        netting.left_micro = usable(&input, &shelves, end);
    }
    Ok(netting)
}

/// What can be used at a moment.
fn usable(input: &NetInput<'_>, shelves: &[Shelf], at: Timestamp) -> i64 {
    shelves
        .iter()
        .filter(|shelf| usable_from(input, shelf) <= at)
        .map(|shelf| shelf.sealed + shelf.open)
        .sum()
}

fn usable_from(input: &NetInput<'_>, shelf: &Shelf) -> Timestamp {
    input.lots[shelf.lot].from.unwrap_or(Timestamp::MIN)
}

fn shelf(input: &NetInput<'_>, lot: usize, found: &NetLot) -> Result<Shelf, OutOfCalendar> {
    let there = found.micro.max(0);
    let opened = found.opened.zip(input.opened_life_minutes);
    let (open, open_until) = match opened {
        None => (0, None),
        Some((at, life)) => {
            let inner = input.inner_micro.unwrap_or(there).max(1);
            let open = if there % inner == 0 { inner.min(there) } else { there % inner };
            (open, earlier(found.until, Some(add_minutes(at, life)?)))
        }
    };
    Ok(Shelf { lot, sealed: there - open, open, open_until })
}

fn earlier(a: Option<Timestamp>, b: Option<Timestamp>) -> Option<Timestamp> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

/// Takes out what is past its last instant before `now`.
fn spoil(input: &NetInput<'_>, shelves: &mut [Shelf], now: Timestamp, spoiled: &mut Vec<Spoiled>) {
    let mut out = Vec::new();
    for shelf in shelves.iter_mut() {
        let sealed_until = input.lots[shelf.lot].until;
        for (left, until) in
            [(&mut shelf.open, shelf.open_until), (&mut shelf.sealed, sealed_until)]
        {
            if let Some(at) = until
                && at < now
                && *left > 0
            {
                out.push(Spoiled { lot: shelf.lot, micro: std::mem::take(left), at });
            }
        }
    }
    out.sort_by_key(|one| (one.at, one.lot));
    spoiled.extend(out);
}

/// Draws a need from the shelves; returns what is unmet.
fn draw(
    input: &NetInput<'_>,
    shelves: &mut [Shelf],
    need: &NetNeed,
    from: &mut Vec<(usize, i64)>,
) -> Result<i64, OutOfCalendar> {
    let mut wanted = need.micro;
    while wanted > 0 {
        let Some((at, open)) = best(input, shelves, need.at) else { break };
        let shelf = &mut shelves[at];
        let taken = match (open, input.opened_life_minutes) {
            (true, _) => {
                let taken = wanted.min(shelf.open);
                shelf.open -= taken;
                taken
            }
            (false, None) => {
                let taken = wanted.min(shelf.sealed);
                shelf.sealed -= taken;
                taken
            }
            (false, Some(life)) => {
                let inner = input.inner_micro.unwrap_or(shelf.sealed).min(shelf.sealed);
                let taken = wanted.min(inner);
                shelf.sealed -= inner;
                shelf.open = inner - taken;
                shelf.open_until =
                    earlier(input.lots[shelf.lot].until, Some(add_minutes(need.at, life)?));
                taken
            }
        };
        wanted -= taken;
        match from.iter_mut().find(|(lot, _)| *lot == shelf.lot) {
            Some((_, sum)) => *sum += taken,
            None => from.push((shelf.lot, taken)),
        }
    }
    Ok(wanted)
}

/// The shelf that goes next, and whether its open pack does.
fn best(input: &NetInput<'_>, shelves: &[Shelf], now: Timestamp) -> Option<(usize, bool)> {
    let candidate = |(at, shelf): (usize, &Shelf)| {
        if usable_from(input, shelf) > now {
            return None;
        }
        let lot = &input.lots[shelf.lot];
        // A pack is opened only when the open one of its lot is used up.
        let (open, until) = if shelf.open > 0 {
            (true, shelf.open_until)
        } else if shelf.sealed > 0 {
            (false, lot.until)
        } else {
            return None;
        };
        let until = until.unwrap_or(Timestamp::MAX);
        Some(((until, Reverse(open), lot.received, lot.name.as_str()), at, open))
    };
    let candidates = shelves.iter().enumerate().filter_map(candidate);
    candidates.min_by(|a, b| a.0.cmp(&b.0)).map(|(_, at, open)| (at, open))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Timestamp {
        text.parse().expect("an instant")
    }

    fn lot(name: &str, micro: i64, received: &str, until: &str) -> NetLot {
        NetLot {
            name: name.to_owned(),
            received: received.parse().expect("a date"),
            micro,
            from: None,
            until: Some(at(until)),
            opened: None,
        }
    }

    #[test]
    fn first_expired_goes_first_and_what_is_out_of_date_is_reported() {
        // Source: check-values.md FE-01.
        let lots = [
            lot("L1", 1250, "2026-11-20", "2026-12-05T23:59:59Z"),
            lot("L2", 500, "2026-11-22", "2026-11-28T23:59:59Z"),
            lot("L3", 2000, "2026-11-20", "2026-11-24T23:59:59Z"),
        ];
        let needs = [NetNeed { at: at("2026-11-26T04:00:00Z"), micro: 1500 }];
        let input = NetInput {
            needs: &needs,
            lots: &lots,
            as_of: at("2026-11-25T09:00:00Z"),
            end: None,
            opened_life_minutes: None,
            inner_micro: None,
        };
        let netting = net(input).expect("nets");
        assert_eq!(netting.allocations[0].from, [(1, 500), (0, 1000)]);
        assert_eq!(netting.spoiled[0].lot, 2);
    }

    #[test]
    fn an_opened_pack_is_used_within_its_life_and_the_next_is_sealed_until_then() {
        let lots = [lot("A", 2000, "2026-06-01", "2026-06-30T23:59:59Z")];
        let needs = [
            NetNeed { at: at("2026-06-10T06:00:00Z"), micro: 300 },
            NetNeed { at: at("2026-06-13T06:00:01Z"), micro: 300 },
        ];
        let input = NetInput {
            needs: &needs,
            lots: &lots,
            as_of: at("2026-06-10T00:00:00Z"),
            end: None,
            opened_life_minutes: Some(3 * 1440),
            inner_micro: Some(1000),
        };
        let netting = net(input).expect("nets");
        assert_eq!(
            netting.spoiled,
            [Spoiled { lot: 0, micro: 700, at: at("2026-06-13T06:00:00Z") }]
        );
        assert_eq!(netting.balances[1], 700);
    }

    #[test]
    fn what_is_left_is_used_and_the_rest_is_unmet_once() {
        let lots = [lot("A", 100, "2026-06-01", "2026-06-30T23:59:59Z")];
        let needs = [
            NetNeed { at: at("2026-06-10T06:00:00Z"), micro: 150 },
            NetNeed { at: at("2026-06-11T06:00:00Z"), micro: 20 },
        ];
        let input = NetInput {
            needs: &needs,
            lots: &lots,
            as_of: at("2026-06-10T00:00:00Z"),
            end: None,
            opened_life_minutes: None,
            inner_micro: None,
        };
        let netting = net(input).expect("nets");
        assert_eq!((netting.short_micro, netting.first_short), (70, Some(0)));
    }
}
