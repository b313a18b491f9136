//! How long a rise takes when it is warmer or colder than the time was tried at.
//!
//! Advice for the eye, never a safety control.

use crate::{
    ratio::{Overflow, Ratio},
    temperature::Celsius,
};

/// What one degree more does to the activity of yeast.
///
/// # Source
/// Check values, FT-01: +1 °C is about +10 %.
const DEGREE: (i128, i128) = (11, 10);
/// Below this the rule is not known to hold.
///
/// # Source
/// Check values, FT-04: between 14 and 20 °C the rate falls faster than above.
const COLDEST: Celsius = Celsius::from_thousandths(20_000);
/// Above this the rate of a sourdough falls again.
///
/// # Source
/// Check values, FT-04: optimum 28 °C, and the model must fall above it.
const WARMEST: Celsius = Celsius::from_thousandths(28_000);
/// Furthest that a guide looks, in degrees either way.
const DEGREES_MAX: i32 = 8;

/// Minutes that a rise takes when it is `off` degrees warmer than `assumed`, to the minute;
/// none where no rule holds.
///
/// # Errors
/// [`Overflow`]
pub fn minutes_at(minutes: i64, assumed: Celsius, off: i32) -> Result<Option<i64>, Overflow> {
    let actual = assumed.thousandths().checked_add(i64::from(off) * 1_000).ok_or(Overflow)?;
    let known = COLDEST..=WARMEST;
    if off.abs() > DEGREES_MAX
        || !known.contains(&assumed)
        || !known.contains(&Celsius::from_thousandths(actual))
    {
        return Ok(None);
    }
    let minutes = Ratio::whole(minutes.into()).over(rate(off)?)?.round_half_up()?;
    i64::try_from(minutes).map(Some).map_err(|_| Overflow)
}

/// How fast a dough works against the speed at which its time was tried.
fn rate(off: i32) -> Result<Ratio, Overflow> {
    let degree = Ratio::new(DEGREE.0, DEGREE.1)?;
    let fast = (0..off.abs()).try_fold(Ratio::ONE, |rate, _| rate.times(degree))?;
    if off < 0 { Ratio::ONE.over(fast) } else { Ok(fast) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rates_are_the_published_ones() {
        // Source: check-values.md section 11, FT-07, row 10 %/C: 20, 28 and 32 °C against 24.
        for (off, expected) in [(-4, "0.683"), (4, "1.464"), (8, "2.144")] {
            assert_eq!(rate(off).map(|rate| rate.to_decimal(3)), Ok(expected.to_owned()), "{off}");
        }
        // Source: FT-01: ten degrees are a factor of 2.594.
        assert_eq!(rate(10).map(|rate| rate.to_decimal(3)), Ok("2.594".to_owned()));
    }

    #[test]
    fn two_degrees_more_take_a_sixth_off_two_hours() {
        let warm = Celsius::from_thousandths(26_000);
        assert_eq!(minutes_at(120, warm, 0), Ok(Some(120)));
        assert_eq!(minutes_at(120, warm, 2), Ok(Some(99)));
        assert_eq!(minutes_at(120, warm, -2), Ok(Some(145)));
    }

    #[test]
    fn no_figure_is_given_where_the_rule_is_not_known_to_hold() {
        // Source: check-values.md section 11, FT-04: it must fall above 28 °C.
        let warm = |degrees: i64| Celsius::from_thousandths(degrees * 1_000);
        assert_eq!(minutes_at(120, warm(28), 1), Ok(None));
        assert_eq!(minutes_at(120, warm(20), -1), Ok(None));
        assert_eq!(minutes_at(120, warm(4), 2), Ok(None));
        assert_eq!(minutes_at(120, warm(24), 4).map(|found| found.is_some()), Ok(true));
    }
}
