//! Yields learnt: what was lost at each stage, against the figure that is set.

use crate::id::Code;
use std::collections::BTreeMap;

/// Observations from which on a figure is suggested.
///
/// # Source
/// Common practice: a handful of loads before a set figure is touched.
pub const SUGGEST_FROM: usize = 5;

/// One load at one stage: what went in and what came out of it, in micrograms or millionths.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Observation {
    /// The formula or product.
    pub code: Code,
    /// The stage, as its loss chain names it.
    pub stage: String,
    /// The load.
    pub load: String,
    /// What went in.
    pub in_micro: i64,
    /// What came out.
    pub out_micro: i64,
}

/// What was seen of one stage; losses are in thousandths of a percent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Yield {
    /// The formula or product.
    pub code: Code,
    /// The stage.
    pub stage: String,
    /// Loads that were counted.
    pub observations: usize,
    /// Loads left out: nothing went in, or more came out than went in.
    pub odd: usize,
    /// All that was lost against all that went in: large loads count for more.
    pub mean: i64,
    /// The smallest and the largest loss.
    pub range: (i64, i64),
    /// Standard deviation of the loads' losses; none of a single load.
    pub spread: Option<i64>,
    /// The mean to a tenth of a percent, once there are [`SUGGEST_FROM`] loads.
    pub suggested: Option<i64>,
}

/// One of a whole, in thousandths of a percent.
const WHOLE: i128 = 100_000;

/// Learns from observations, by code and stage. Their order never changes an answer.
#[must_use]
pub fn learn(observations: &[Observation]) -> Vec<Yield> {
    let mut stages: BTreeMap<(&Code, &str), Vec<&Observation>> = BTreeMap::new();
    for one in observations {
        stages.entry((&one.code, one.stage.as_str())).or_default().push(one);
    }
    stages.into_iter().filter_map(|((code, stage), seen)| stage_of(code, stage, &seen)).collect()
}

fn stage_of(code: &Code, stage: &str, seen: &[&Observation]) -> Option<Yield> {
    let counts =
        |one: &&&Observation| one.in_micro > 0 && (0..=one.in_micro).contains(&one.out_micro);
    let counted: Vec<_> = seen.iter().filter(counts).collect();
    let odd = seen.len() - counted.len();
    let lost = |one: &Observation| i128::from(one.in_micro) - i128::from(one.out_micro);
    let all_in: i128 = counted.iter().map(|one| i128::from(one.in_micro)).sum();
    let all_lost: i128 = counted.iter().map(|one| lost(one)).sum();
    let losses: Vec<i128> =
        counted.iter().map(|one| nearest(lost(one) * WHOLE, one.in_micro.into())).collect();
    let (least, most) = (*losses.iter().min()?, *losses.iter().max()?);
    let mean = nearest(all_lost * WHOLE, all_in);
    let suggested = (counted.len() >= SUGGEST_FROM).then(|| nearest(mean, 100) * 100);
    let narrow = |wide: i128| i64::try_from(wide).ok();
    Some(Yield {
        code: code.clone(),
        stage: stage.to_owned(),
        observations: counted.len(),
        odd,
        mean: narrow(mean)?,
        range: (narrow(least)?, narrow(most)?),
        spread: deviation(&losses).and_then(narrow),
        suggested: suggested.and_then(narrow),
    })
}

/// A quotient to the nearest whole, half up; the divisor is above 0.
const fn nearest(of: i128, by: i128) -> i128 {
    (2 * of + by).div_euclid(2 * by)
}

/// The standard deviation of a sample.
fn deviation(losses: &[i128]) -> Option<i128> {
    let count = i128::try_from(losses.len()).ok()?;
    if count < 2 {
        return None;
    }
    let sum: i128 = losses.iter().sum();
    // n·Σ(x − x̄)² = n·Σx² − (Σx)², whole all the way.
    let squares: i128 = losses.iter().map(|loss| loss * loss).sum();
    Some(root(nearest(count * squares - sum * sum, count * (count - 1))))
}

/// The square root to the nearest whole.
const fn root(of: i128) -> i128 {
    let floor = of.isqrt();
    if of - floor * floor > floor { floor + 1 } else { floor }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(load: &str, in_micro: i64, out_micro: i64) -> Observation {
        let code = Code::parse("bun").expect("a code");
        Observation { code, stage: "scrap".to_owned(), load: load.to_owned(), in_micro, out_micro }
    }

    #[test]
    fn a_mean_counts_large_loads_for_more_and_says_how_wide_it_was() {
        // By hand: losses 1 %, 2 %, 3 % of 100, 100, 200: (1 + 2 + 6) / 400 = 2.25 %;
        // the sample's deviation of 1, 2, 3 is 1.
        let all = [seen("a", 100, 99), seen("b", 100, 98), seen("c", 200, 194)];
        let learnt = learn(&all);
        assert_eq!(learnt.len(), 1);
        assert_eq!((learnt[0].mean, learnt[0].range), (2250, (1000, 3000)));
        assert_eq!((learnt[0].spread, learnt[0].suggested), (Some(1000), None));
        let turned: Vec<_> = all.iter().rev().cloned().collect();
        assert_eq!(learn(&turned), learnt);
    }

    #[test]
    fn a_figure_is_suggested_after_five_loads_and_odd_ones_are_left_out() {
        let mut all: Vec<_> = (0..4).map(|load| seen(&load.to_string(), 1000, 985)).collect();
        all.push(seen("gain", 1000, 1100));
        assert_eq!((learn(&all)[0].suggested, learn(&all)[0].odd), (None, 1));
        all.push(seen("fifth", 1000, 985));
        assert_eq!(learn(&all)[0].suggested, Some(1500));
        assert!(learn(&[seen("gain", 1000, 1100)]).is_empty());
    }
}
