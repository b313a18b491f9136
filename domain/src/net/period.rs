//! The plain period form of material requirements planning: no clock, numbered periods.
//!
//! # Source
//! The definitions of the published tables: what is available is what is on hand and comes in
//! less what is needed; a net need is what that lacks of the safety stock; a receipt covers it
//! by a lot rule, and is released the lead time earlier.

use crate::ratio::Overflow;

/// How much one receipt brings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LotRule {
    /// What is lacking, no more.
    LotForLot,
    /// Whole lots of one size; several may come in one period.
    Fixed(i64),
    /// All net needs of so many periods, from the first that lacks something.
    Periods(usize),
    /// At least so much, in multiples of so much.
    AtLeast {
        /// Least amount of a receipt.
        minimum: i64,
        /// A receipt is a multiple of this.
        multiple: i64,
    },
    /// The receipts that cost least together: a setup for each, and holding for each unit at
    /// the end of each period.
    Cheapest {
        /// Cost of one receipt.
        setup: i64,
        /// Cost of one unit held for one period.
        holding: i64,
    },
}

/// What is planned for one item; all amounts in one unit of it, none below 0.
#[derive(Debug, Clone, Copy)]
pub struct PeriodInput<'a> {
    /// Gross need of each period.
    pub gross: &'a [i64],
    /// Receipts that are under way, by period; missing ones are 0.
    pub scheduled: &'a [i64],
    /// On hand before the first period.
    pub on_hand: i64,
    /// What should be left at the end of each period.
    pub safety: i64,
    /// Periods from release to receipt.
    pub lead: usize,
    /// How much one receipt brings.
    pub rule: LotRule,
}

/// The plan of one item, period by period.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Periods {
    /// On hand at the end of each period.
    pub on_hand: Vec<i64>,
    /// Net need of each period.
    pub net: Vec<i64>,
    /// Planned receipts by period.
    pub receipts: Vec<i64>,
    /// Planned releases by period.
    pub releases: Vec<i64>,
    /// Receipts that had to be released before the first period: periods too late, amount.
    pub past_due: Vec<(usize, i64)>,
}

/// Plans one item.
///
/// A release before the first period is past due and named, never dropped.
///
/// # Errors
/// [`Overflow`]
pub fn periods(input: PeriodInput<'_>) -> Result<Periods, Overflow> {
    let cheapest = match input.rule {
        LotRule::Cheapest { setup, holding } => {
            let plain = periods(PeriodInput { rule: LotRule::LotForLot, ..input })?;
            Some(cheapest(&plain.receipts, setup, holding)?)
        }
        _ => None,
    };
    let mut plan = Periods { releases: vec![0; input.gross.len()], ..Periods::default() };
    let mut left = input.on_hand;
    for (period, &gross) in input.gross.iter().enumerate() {
        let available = add(left, scheduled(&input, period))?.checked_sub(gross).ok_or(Overflow)?;
        let net = input.safety.checked_sub(available).ok_or(Overflow)?.max(0);
        let receipt = match &cheapest {
            Some(receipts) => receipts[period],
            None if net == 0 => 0,
            None => lot(&input, period, net)?,
        };
        left = add(available, receipt)?;
        plan.net.push(net);
        plan.receipts.push(receipt);
        plan.on_hand.push(left);
        if receipt > 0 {
            match period.checked_sub(input.lead) {
                Some(released) => plan.releases[released] = receipt,
                None => plan.past_due.push((input.lead - period, receipt)),
            }
        }
    }
    Ok(plan)
}

fn scheduled(input: &PeriodInput<'_>, period: usize) -> i64 {
    input.scheduled.get(period).copied().unwrap_or(0)
}

/// What the receipt of a period brings that lacks something.
fn lot(input: &PeriodInput<'_>, period: usize, net: i64) -> Result<i64, Overflow> {
    let multiple_of = |amount: i64, of: i64| -> Result<i64, Overflow> {
        let of = of.max(1);
        let lots = add(amount, of - 1)? / of;
        lots.checked_mul(of).ok_or(Overflow)
    };
    match input.rule {
        LotRule::LotForLot | LotRule::Cheapest { .. } => Ok(net),
        LotRule::Fixed(size) => multiple_of(net, size),
        LotRule::AtLeast { minimum, multiple } => multiple_of(net.max(minimum), multiple),
        LotRule::Periods(count) => {
            let end = period.saturating_add(count.max(1)).min(input.gross.len());
            (period + 1..end).try_fold(net, |sum, later| {
                let more = input.gross[later].checked_sub(scheduled(input, later));
                // What comes in meanwhile spares some, but never takes from a need before it.
                Ok(add(sum, more.ok_or(Overflow)?)?.max(net))
            })
        }
    }
}

/// The receipts that cost least: each covers the needs of periods that follow each other.
///
/// # Source
/// Wagner and Whitin, Dynamic version of the economic lot size model, 1958; from memory.
fn cheapest(needs: &[i64], setup: i64, holding: i64) -> Result<Vec<i64>, Overflow> {
    // The least cost up to each period, and where the last receipt before it stands.
    let mut best: Vec<(i128, usize)> = vec![(0, 0)];
    for end in 1..=needs.len() {
        let (mut least, mut held) = ((i128::MAX, 0), 0_i128);
        // The last receipt stands in `from` and covers the needs from there to `end`.
        let mut behind = 0_i128;
        for from in (0..end).rev() {
            // One period earlier, all that comes after it is held once more.
            held = held.checked_add(behind).ok_or(Overflow)?;
            behind += i128::from(needs[from]);
            let own = if behind == 0 { 0 } else { i128::from(setup) };
            let cost = held.checked_mul(holding.into()).and_then(|held| held.checked_add(own));
            let cost = cost.and_then(|cost| cost.checked_add(best[from].0)).ok_or(Overflow)?;
            if cost < least.0 {
                least = (cost, from);
            }
        }
        best.push(least);
    }
    let mut receipts = vec![0_i64; needs.len()];
    let mut end = needs.len();
    while end > 0 {
        let from = best[end].1;
        receipts[from] = needs[from..end].iter().try_fold(0, |sum, &need| add(sum, need))?;
        end = from;
    }
    Ok(receipts)
}

fn add(a: i64, b: i64) -> Result<i64, Overflow> {
    a.checked_add(b).ok_or(Overflow)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_need_within_the_lead_time_is_past_due_and_named() {
        // Source: check-values MR-14: need in period 1, lead time 2, release in period -1.
        let input = PeriodInput {
            gross: &[10, 0, 5],
            scheduled: &[],
            on_hand: 0,
            safety: 0,
            lead: 2,
            rule: LotRule::LotForLot,
        };
        let plan = periods(input).expect("in bounds");
        assert_eq!(plan.past_due, [(2, 10)]);
        assert_eq!((plan.receipts, plan.releases), (vec![10, 0, 5], vec![5, 0, 0]));
        let huge = PeriodInput { gross: &[i64::MAX], safety: i64::MAX, ..input };
        assert_eq!(periods(huge), Err(Overflow));
    }
}
