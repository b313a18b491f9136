//! Weighing scales: which one carries an amount, and what it shows.
//!
//! This is the one place where a mass is rounded. The rounded mass is the one
//! that is weighed, issued, summed and costed.

use crate::{
    id::Code,
    quantity::Quantity,
    ratio::{Overflow, Ratio},
};

/// A scale that hands use.
///
/// Invariant: `0 < division <= from <= capacity`, all in micrograms.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scale {
    /// Its name.
    pub code: Code,
    /// Most it carries, in micrograms.
    pub capacity_ug: i64,
    /// What one step of its display is worth, in micrograms.
    pub division_ug: i64,
    /// Least that should be weighed on it, in micrograms.
    pub from_ug: i64,
}

/// The scale's figures contradict each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a scale needs masses with 0 < division <= from <= capacity")]
pub struct NotAScale;

impl Scale {
    /// A scale from its three figures.
    ///
    /// # Errors
    /// [`NotAScale`]
    pub fn new(
        code: Code,
        capacity: Quantity,
        division: Quantity,
        from: Quantity,
    ) -> Result<Self, NotAScale> {
        let all_masses =
            [capacity, division, from].iter().all(|q| q.unit() == crate::quantity::Unit::Gram);
        let (capacity_ug, division_ug, from_ug) =
            (capacity.micro(), division.micro(), from.micro());
        if all_masses && 0 < division_ug && division_ug <= from_ug && from_ug <= capacity_ug {
            Ok(Self { code, capacity_ug, division_ug, from_ug })
        } else {
            Err(NotAScale)
        }
    }
}

/// How a weighing came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WeighState {
    /// Fine enough for its scale.
    Ok,
    /// Below every scale's reach: make a premix, or weigh for the day.
    Premix,
    /// The finest scale would show nothing: it cannot be weighed at all.
    Refused,
    /// Counted by hand, not weighed.
    Counted,
}

/// An amount as a scale shows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Weighing {
    /// Position of the scale in the bakery's list, coarsest division first.
    pub scale: usize,
    /// Whole divisions of that scale, over all weighings together.
    pub divisions: i64,
    /// Whether the scale is fit for it.
    pub state: WeighState,
}

/// The bakery's scales, coarsest division first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scales(Vec<Scale>);

/// The share of an amount that a division may be, unless the line asks for less, in
/// millionths of a percent.
///
/// # Source
/// Common practice: 1 %.
pub const PRECISION_USUAL: u32 = 1_000_000;

/// All of an amount, in millionths of a percent.
const WHOLE_PRECISION: i128 = 100_000_000;

/// An exact mass as `above / below` micrograms, above 0 and not necessarily reduced, so
/// that the lines of a load share one denominator.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ExactMass {
    above: i128,
    below: i128,
    /// The whole micrograms, if they are known already.
    whole: Option<i64>,
}

impl ExactMass {
    /// A mass from an exact number of micrograms.
    #[must_use]
    pub const fn new(ug: Ratio) -> Self {
        Self { above: ug.numerator(), below: ug.denominator(), whole: None }
    }

    /// The mass as a reduced ratio.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn ratio(self) -> Result<Ratio, Overflow> {
        Ratio::new(self.above, self.below)
    }

    fn whole(self) -> Result<i64, Overflow> {
        match self.whole {
            Some(whole) => Ok(whole),
            None => i64::try_from(self.above / self.below).map_err(|_| Overflow),
        }
    }

    const fn is_whole(self) -> bool {
        self.above % self.below == 0
    }

    const fn half_or_more(self) -> bool {
        let rest = self.above % self.below;
        rest >= self.below - rest
    }
}

/// What one part of a load weighs, prepared for many lines.
///
/// Beside the exact fraction it holds the same as a binary fixed-point number. That
/// gives a line's whole micrograms with one multiplication; where its last digit is in
/// doubt the exact fraction decides, so no answer ever differs from exact division.
#[derive(Debug, Clone, Copy)]
pub struct PartMass {
    above: i128,
    below: i128,
    fixed: Option<u128>,
}

/// Binary places of [`PartMass::fixed`].
const FIXED_PLACES: u32 = 44;
/// Largest fixed-point number that times any `i64` stays in range.
const FIXED_MAX: u128 = 1 << 64;

impl PartMass {
    /// Prepares an exact number of micrograms in one part.
    #[must_use]
    pub fn new(ug: Ratio) -> Self {
        let (above, below) = (ug.numerator(), ug.denominator());
        let shifted =
            u128::try_from(above).ok().filter(|above| above.leading_zeros() >= FIXED_PLACES);
        let fixed = shifted
            .map(|above| (above << FIXED_PLACES) / below.unsigned_abs())
            .filter(|fixed| *fixed < FIXED_MAX);
        Self { above, below, fixed }
    }

    /// The mass of so many parts.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn times(self, parts: i64) -> Result<ExactMass, Overflow> {
        let above = self.above.checked_mul(parts.into()).ok_or(Overflow)?;
        let whole = self.fixed.zip(u128::try_from(parts).ok()).and_then(|(fixed, parts)| {
            // The fixed-point number is too small by less than one unit a part.
            let least = fixed * parts;
            let (low, high) = (least >> FIXED_PLACES, (least + parts) >> FIXED_PLACES);
            if low == high { i64::try_from(low).ok() } else { None }
        });
        Ok(ExactMass { above, below: self.below, whole })
    }
}

impl Scales {
    /// Orders the scales; ties by capacity, then code, so that rows may come in any order.
    #[must_use]
    pub fn new(mut scales: Vec<Scale>) -> Self {
        scales.sort_by(|a, b| {
            (b.division_ug, b.capacity_ug, &a.code).cmp(&(a.division_ug, a.capacity_ug, &b.code))
        });
        Self(scales)
    }

    /// All scales, coarsest first.
    #[must_use]
    pub fn as_slice(&self) -> &[Scale] {
        &self.0
    }

    /// Weighs an exact mass: picks the scale and rounds half up to its division.
    ///
    /// The coarsest scale whose division is at most `precision_micro_percent` millionths
    /// of a percent of the exact mass, that reaches its `from`, and that carries it;
    /// carried by none, the coarsest fine enough in several weighings; too small for
    /// all, the finest with a warning. Without any scale there is no weighing.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn weigh(
        &self,
        mass: ExactMass,
        precision_micro_percent: u32,
    ) -> Result<Option<Weighing>, Overflow> {
        let whole = mass.whole()?;
        let fine_enough = |scale: &Scale| {
            let least = i128::from(scale.division_ug) * WHOLE_PRECISION;
            scale.from_ug <= whole
                && least <= i128::from(whole) * i128::from(precision_micro_percent)
        };
        let carries = |scale: &Scale| {
            whole < scale.capacity_ug || (whole == scale.capacity_ug && mass.is_whole())
        };
        let chosen = self
            .0
            .iter()
            .position(|scale| fine_enough(scale) && carries(scale))
            .or_else(|| self.0.iter().position(fine_enough));
        let (scale, fit) = match (chosen, self.0.len().checked_sub(1)) {
            (Some(scale), _) => (scale, WeighState::Ok),
            (None, Some(finest)) => (finest, WeighState::Premix),
            (None, None) => return Ok(None),
        };
        let division = self.0[scale].division_ug;
        let twice_over = 2 * (whole % division);
        // Half up; the part below a microgram decides only at the very edge.
        let up = twice_over >= division || (twice_over == division - 1 && mass.half_or_more());
        let divisions = whole / division + i64::from(up);
        let state = if divisions == 0 { WeighState::Refused } else { fit };
        Ok(Some(Weighing { scale, divisions, state }))
    }

    /// A weighing's mass, in micrograms.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn mass_ug(&self, weighing: Weighing) -> Result<i64, Overflow> {
        weighing.divisions.checked_mul(self.0[weighing.scale].division_ug).ok_or(Overflow)
    }

    /// The single weighings that make it up, in micrograms: equal, larger first.
    ///
    /// Their sum is the whole exactly; each fits the scale.
    #[must_use]
    pub fn parts_ug(&self, weighing: Weighing) -> Vec<i64> {
        let Scale { capacity_ug, division_ug, .. } = self.0[weighing.scale];
        let most = capacity_ug / division_ug;
        let count = (weighing.divisions + most - 1) / most.max(1);
        let count = count.max(1);
        let (each, larger) = (weighing.divisions / count, weighing.divisions % count);
        (0..count).map(|n| (each + i64::from(n < larger)) * division_ug).collect()
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    pub(crate) fn three_scales() -> Scales {
        let quantity = |text: &str, unit: &str| Quantity::parse(text, unit).expect("a quantity");
        let scale = |code: &str, capacity, division, from| {
            Scale::new(Code::parse(code).expect("a code"), capacity, division, from)
                .expect("a scale")
        };
        Scales::new(vec![
            scale("micro", quantity("600", "g"), quantity("0.1", "g"), quantity("10", "g")),
            scale("floor", quantity("60", "kg"), quantity("20", "g"), quantity("2", "kg")),
            scale("bench", quantity("15", "kg"), quantity("2", "g"), quantity("200", "g")),
        ])
    }

    fn weighed(grams: &str) -> (String, i64, WeighState, Vec<i64>) {
        let scales = three_scales();
        let exact = ExactMass::new(Quantity::parse(grams, "g").expect("a mass").ratio());
        let weighing =
            scales.weigh(exact, PRECISION_USUAL).expect("in range").expect("there are scales");
        (
            scales.as_slice()[weighing.scale].code.to_string(),
            scales.mass_ug(weighing).expect("in range") / 100_000,
            weighing.state,
            scales.parts_ug(weighing).iter().map(|part| part / 100_000).collect(),
        )
    }

    #[test]
    fn the_coarsest_fit_scale_is_taken() {
        // Source: alder-yard.md 8.9 A, weigh-out of the Friday buns (tenths of a gram).
        for (exact, scale, tenths) in [
            ("5150.867139", "floor", 51_600),
            ("772.630071", "bench", 7_720),
            ("154.526014", "micro", 1_545),
            ("10.301734", "micro", 103),
        ] {
            let (code, mass, state, _) = weighed(exact);
            assert_eq!((code.as_str(), mass, state), (scale, tenths, WeighState::Ok), "{exact}");
        }
    }

    #[test]
    fn below_every_scale_asks_for_a_premix_and_nothing_is_never_weighed() {
        // Source: alder-yard.md, closing notes (8.3 g salt); trade.md 7 case 24 (0.04 g enzyme).
        assert_eq!(weighed("8.321807").2, WeighState::Premix);
        assert_eq!((weighed("0.04").1, weighed("0.04").2), (0, WeighState::Refused));
    }

    #[test]
    fn over_capacity_splits_into_equal_weighings() {
        // Source: trade.md 7 case 25.
        assert_eq!(weighed("68400").3, [342_000, 342_000]);
        assert_eq!(weighed("68420").3, [342_200, 342_000]);
    }

    #[test]
    fn fixed_point_never_differs_from_exact_division() {
        let mut state = 7_u64;
        let mut next = |below: u64| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) % below
        };
        for _ in 0..20_000 {
            let above = 1 + i128::from(next(1 << 31)) * i128::from(1 + next(1 << 31));
            let below = 1 + i128::from(next(1 << 31)) * i128::from(1 + next(1 << 20));
            let parts = 1 + i64::try_from(next(1 << 27)).expect("in range");
            let part = PartMass::new(Ratio::new(above, below).expect("in range"));
            let mass = part.times(parts).expect("in range");
            assert_eq!(
                mass.whole().map(i128::from),
                Ok(mass.above / mass.below),
                "{above} / {below} x {parts}"
            );
        }
        // Just below and exactly at a whole number.
        let third = PartMass::new(Ratio::new(1, 3).expect("in range"));
        assert_eq!(third.times(3).and_then(ExactMass::whole), Ok(1));
        assert_eq!(third.times(2).and_then(ExactMass::whole), Ok(0));
    }
}
