//! One load on the scales.

use super::{Oracle, amount, big, nearest, whole};
use domain::{scale::Scale, scale::WeighState};
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{Signed, Zero};

/// A line as it is asked and as it is weighed, in grams or pieces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Weighed {
    /// What.
    pub item: String,
    /// As computed.
    pub exact: BigRational,
    /// As the scale shows it.
    pub weigh: BigRational,
    /// Whether the scale is fit for it.
    pub state: WeighState,
    /// The scale's division; none if it is counted.
    pub division: Option<BigRational>,
}

/// A line before it is weighed.
pub(super) struct Asked {
    pub item: String,
    pub exact: BigRational,
    pub precision_percent: BigRational,
    pub counted: bool,
    pub flour: bool,
    pub in_bowl: bool,
}

/// Loads of one size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Load {
    /// How many of them.
    pub count: i64,
    /// Steps in each, if steps are dictated.
    pub steps: Option<i64>,
    /// What each weighs, residue included, in grams.
    pub mass: BigRational,
    /// Its lines in the formula's order.
    pub lines: Vec<Weighed>,
    /// Sum of what is weighed into the bowl.
    pub sum: BigRational,
    /// Whether that is within a quarter percent of the load.
    pub within_tolerance: bool,
    /// Whether rounding moved the hydration by more than 0.3 points.
    pub hydration_moved: Option<bool>,
}

impl Oracle<'_> {
    /// Rounds one load: each line on its scale, then the flour towards the sum.
    pub(super) fn weigh(
        &self,
        count: i64,
        steps: Option<i64>,
        mass: BigRational,
        asked: &[Asked],
    ) -> Load {
        let mut lines: Vec<Weighed> = asked.iter().map(|line| self.weigh_line(line)).collect();
        let in_sum: Vec<usize> =
            (0..lines.len()).filter(|&at| asked[at].in_bowl && !asked[at].counted).collect();
        let target: BigRational = in_sum.iter().map(|&at| lines[at].exact.clone()).sum();
        let quarter = &target / whole(400);
        let sum = |lines: &[Weighed]| -> BigRational {
            in_sum.iter().map(|&at| lines[at].weigh.clone()).sum()
        };
        // The first of the heaviest flour lines.
        let flour = in_sum
            .iter()
            .rev()
            .copied()
            .filter(|&at| asked[at].flour)
            .max_by(|&a, &b| lines[a].exact.cmp(&lines[b].exact));
        if let Some(flour) = flour {
            loop {
                let before = sum(&lines) - &target;
                let Some(division) = lines[flour].division.clone() else { break };
                if before.abs() <= quarter {
                    break;
                }
                let moved = if before.is_negative() {
                    &lines[flour].weigh + division
                } else {
                    &lines[flour].weigh - division
                };
                let after = &before - &lines[flour].weigh + &moved;
                if after.abs() >= before.abs() || !moved.is_positive() {
                    break;
                }
                lines[flour].weigh = moved;
            }
        }
        let sum = sum(&lines);
        Load {
            count,
            steps,
            mass,
            within_tolerance: (&sum - target).abs() <= quarter,
            hydration_moved: self.hydration_moved(asked, &lines),
            lines,
            sum,
        }
    }

    fn hydration_moved(&self, asked: &[Asked], lines: &[Weighed]) -> Option<bool> {
        let (mut exact, mut weighed) = ((whole(0), whole(0)), (whole(0), whole(0)));
        for (asked, line) in asked.iter().zip(lines) {
            if asked.flour {
                exact.0 += &line.exact;
                weighed.0 += &line.weigh;
            }
            if self.items.get(line.item.as_str()).is_some_and(|item| item.water) {
                exact.1 += &line.exact;
                weighed.1 += &line.weigh;
            }
        }
        if exact.0.is_zero() || weighed.0.is_zero() {
            return None;
        }
        let moved = (exact.1 / exact.0 - weighed.1 / weighed.0).abs();
        Some(moved > BigRational::new(BigInt::from(3), BigInt::from(1_000)))
    }

    fn weigh_line(&self, line: &Asked) -> Weighed {
        if line.counted {
            return Weighed {
                item: line.item.clone(),
                exact: line.exact.clone(),
                weigh: line.exact.clone(),
                state: WeighState::Counted,
                division: None,
            };
        }
        self.weigh_amount(&line.item, &line.exact, &line.precision_percent)
    }

    /// Weighs a mass: the coarsest scale that is fine enough, is reached and carries it.
    pub(super) fn weigh_amount(
        &self,
        item: &str,
        exact: &BigRational,
        precision_percent: &BigRational,
    ) -> Weighed {
        let grams = |micrograms: i64| whole(micrograms) / whole(1_000_000);
        let mut scales: Vec<&Scale> = self.world.draft.scales.iter().collect();
        scales.sort_by_key(|scale| std::cmp::Reverse(scale.division_ug));
        let allowed = exact * precision_percent / whole(100);
        let fine: Vec<&&Scale> = scales
            .iter()
            .filter(|scale| grams(scale.division_ug) <= allowed && grams(scale.from_ug) <= *exact)
            .collect();
        let carrying = fine.iter().find(|scale| *exact <= grams(scale.capacity_ug));
        let (scale, fit) = match (carrying.or(fine.first()), scales.last()) {
            (Some(scale), _) => (**scale, WeighState::Ok),
            (None, Some(finest)) => (*finest, WeighState::Premix),
            (None, None) => unreachable!("every seeded bakery has scales"),
        };
        let division = grams(scale.division_ug);
        let weigh = nearest(exact, &division);
        let state = if weigh.is_zero() { WeighState::Refused } else { fit };
        Weighed {
            item: item.to_owned(),
            exact: exact.clone(),
            weigh,
            state,
            division: Some(division),
        }
    }

    /// A line's amount and unit, before any load: grams, or pieces if it is counted.
    pub(super) fn per_batch(
        &self,
        item: &str,
        quantity: domain::quantity::Quantity,
    ) -> (BigRational, bool) {
        use domain::quantity::Unit;
        let counted = quantity.unit() == Unit::Each
            && self.items.get(item).is_some_and(|found| found.base_unit == Unit::Each);
        if counted { (amount(quantity), true) } else { (self.grams(item, quantity), false) }
    }
}

pub(super) fn precision(line: &domain::formula::Line) -> BigRational {
    line.precision_percent.map_or_else(|| whole(1), big)
}
