//! Demand ahead of orders: what the same weekday took before, with its spread.
//!
//! Nothing is fitted: the figures of the last weeks are sorted, and ranks among them say
//! how likely the next one lies below. A person can redo it with a pencil.

use crate::ratio::{Overflow, Ratio};

/// Fewer weeks than this say nothing.
pub const WEEKS_MIN: usize = 5;
/// Weeks looked back at most: half a year, older ones are another season.
pub const WEEKS_MAX: usize = 26;

/// What is expected of the next same weekday.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Forecast {
    /// Weeks it rests on.
    pub weeks: usize,
    /// The middle of what was seen: half of it lies below.
    pub middle: Ratio,
    /// Lower end of the interval, in pieces.
    pub low: i64,
    /// Upper end of it.
    pub high: i64,
    /// How likely the next figure lies in it, percent.
    pub covers_percent: Ratio,
    /// Pieces to have, if it is known what too many and too few cost.
    pub order_up_to: Option<OrderUpTo>,
}

/// How many pieces to have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OrderUpTo {
    /// Pieces; the most that was seen if the weeks do not reach far enough.
    pub pieces: i64,
    /// How often that should be enough, percent.
    pub wanted_percent: Ratio,
    /// Whether the weeks reach so far.
    pub reached: bool,
}

/// What a piece too few and a piece too many cost, in minor units.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MissCosts {
    /// A piece too few: what it would have brought in.
    pub under: i64,
    /// A piece too many: what it cost.
    pub over: i64,
}

/// Reads a forecast off the figures of the same weekday, in any order; none from fewer than
/// [`WEEKS_MIN`]. `interval_percent` is how much of all next figures it should hold.
///
/// The next figure lies below the k-th smallest of n with chance k / (n + 1); an interval
/// between the k-th smallest and the k-th largest holds it with chance
/// (n + 1 - 2k) / (n + 1). To have enough, the chance must be under / (under + over).
///
/// # Errors
/// [`Overflow`]
///
/// # Source
/// Ranks: NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.2, percentiles by
/// p (N + 1). Order-up-to: the single-period (newsvendor) critical ratio, as in any
/// handbook of operations management; both from memory.
pub fn forecast(
    observed: &[i64],
    interval_percent: i64,
    costs: Option<MissCosts>,
) -> Result<Option<Forecast>, Overflow> {
    let mut sorted: Vec<i64> = observed.iter().copied().take(WEEKS_MAX).collect();
    sorted.sort_unstable();
    let weeks = sorted.len();
    if weeks < WEEKS_MIN {
        return Ok(None);
    }
    let all = i128::try_from(weeks + 1).map_err(|_| Overflow)?;
    // The largest k whose interval still holds enough; 1 if none does.
    let holds = |k: usize| Ratio::new((all - 2 * k as i128) * 100, all);
    let wanted = Ratio::whole(interval_percent.clamp(0, 100).into());
    let mut k = 1;
    while 2 * (k + 1) <= weeks && holds(k + 1)? >= wanted {
        k += 1;
    }
    let two = Ratio::whole(2);
    let sum = i128::from(sorted[(weeks - 1) / 2]) + i128::from(sorted[weeks / 2]);
    Ok(Some(Forecast {
        weeks,
        middle: Ratio::whole(sum).over(two)?,
        low: sorted[k - 1],
        high: sorted[weeks - k],
        covers_percent: holds(k)?,
        order_up_to: costs.map(|costs| order_up_to(&sorted, all, costs)).transpose()?.flatten(),
    }))
}

fn order_up_to(
    sorted: &[i64],
    all: i128,
    MissCosts { under, over }: MissCosts,
) -> Result<Option<OrderUpTo>, Overflow> {
    let both = i128::from(under) + i128::from(over);
    if under < 0 || over < 0 || both == 0 {
        return Ok(None);
    }
    let ratio = Ratio::new(under.into(), both)?;
    let rank = usize::try_from(ratio.times(Ratio::whole(all))?.ceil()).map_err(|_| Overflow)?;
    let at = rank.clamp(1, sorted.len()) - 1;
    Ok(Some(OrderUpTo {
        pieces: sorted[at],
        wanted_percent: ratio.times(Ratio::whole(100))?,
        reached: rank <= sorted.len(),
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    const NINE: [i64; 9] = [52, 40, 44, 47, 41, 60, 49, 45, 50];

    #[test]
    fn ranks_give_middle_interval_and_order_up_to() {
        // Sorted: 40 41 44 45 47 49 50 52 60; n + 1 = 10.
        let costs = MissCosts { under: 70, over: 30 };
        let found = forecast(&NINE, 60, Some(costs)).unwrap().unwrap();
        assert_eq!((found.weeks, found.middle), (9, Ratio::whole(47)));
        // k = 2: between 41 and 52 with chance (10 - 4) / 10.
        assert_eq!((found.low, found.high), (41, 52));
        assert_eq!(found.covers_percent, Ratio::whole(60));
        // 70 / 100 of 10 is the seventh.
        let order = found.order_up_to.unwrap();
        assert_eq!((order.pieces, order.reached), (50, true));
    }

    #[test]
    fn what_the_weeks_do_not_reach_is_said() {
        let costs = MissCosts { under: 99, over: 1 };
        let found = forecast(&NINE, 95, Some(costs)).unwrap().unwrap();
        assert_eq!((found.low, found.high, found.covers_percent), (40, 60, Ratio::whole(80)));
        let order = found.order_up_to.unwrap();
        assert_eq!((order.pieces, order.reached), (60, false));
        assert_eq!(forecast(&NINE[..4], 80, None), Ok(None));
    }

    #[test]
    fn dear_leftovers_ask_for_less_and_nothing_known_asks_for_nothing() {
        let of = |under, over| {
            let costs = MissCosts { under, over };
            forecast(&NINE, 80, Some(costs)).unwrap().unwrap().order_up_to
        };
        assert_eq!(of(10, 90).unwrap().pieces, 40);
        assert_eq!(of(0, 0), None);
        assert_eq!(of(-1, 5), None);
    }
}
