//! Weighing scales: which one carries an amount, and what it shows.
//!
//! This is the one place where a mass is rounded. The rounded mass is the one
//! that is weighed, issued, summed and costed.

use crate::{id::Code, quantity::Quantity, ratio::Overflow};

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

/// Quotient and remainder of a mass; most fit 64 bits, where division is far cheaper.
fn divide(above: i128, below: i128) -> (i128, i128) {
    match (u64::try_from(above), u64::try_from(below)) {
        (Ok(above), Ok(below)) => (i128::from(above / below), i128::from(above % below)),
        _ => (above / below, above % below),
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
    /// The mass is `above / below` micrograms, above 0 and not necessarily reduced: a
    /// whole division decides all, so a load's lines share one denominator.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn weigh(
        &self,
        (above, below): (i128, i128),
        precision_micro_percent: u32,
    ) -> Result<Option<Weighing>, Overflow> {
        let (whole, rest) = divide(above, below);
        let whole = i64::try_from(whole).map_err(|_| Overflow)?;
        let fine_enough = |scale: &Scale| {
            let least = i128::from(scale.division_ug) * WHOLE_PRECISION;
            scale.from_ug <= whole
                && least <= i128::from(whole) * i128::from(precision_micro_percent)
        };
        let carries =
            |scale: &Scale| whole < scale.capacity_ug || (whole == scale.capacity_ug && rest == 0);
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
        let up = twice_over >= division || (twice_over == division - 1 && rest >= below - rest);
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
        let exact = Quantity::parse(grams, "g").expect("a mass").micro().into();
        let weighing =
            scales.weigh((exact, 1), PRECISION_USUAL).expect("in range").expect("there are scales");
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
}
