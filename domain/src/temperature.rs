//! Temperatures and differences between them: two kinds that never mix.

use crate::ratio::{NotADecimal, Overflow, Ratio};

/// A temperature in thousandths of a degree Celsius.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Celsius(i64);

/// A difference between two temperatures, in thousandths of a kelvin.
///
/// Friction is one: what mixing adds to a dough.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Kelvin(i64);

macro_rules! thousandths {
    ($kind:ident, $what:literal) => {
        impl $kind {
            #[doc = concat!($what, " from thousandths.")]
            #[must_use]
            pub const fn from_thousandths(thousandths: i64) -> Self {
                Self(thousandths)
            }

            /// The same in thousandths.
            #[must_use]
            pub const fn thousandths(self) -> i64 {
                self.0
            }

            /// The same in whole degrees, exactly.
            ///
            /// # Errors
            /// [`Overflow`] never happens for what [`Self::parse`] accepts.
            pub fn ratio(self) -> Result<Ratio, Overflow> {
                Ratio::new(self.0.into(), 1_000)
            }

            /// The same as plain decimal text in degrees, without trailing zeros.
            #[must_use]
            pub fn decimal(self) -> String {
                // A thousand is no zero: the fraction always stands.
                self.ratio().unwrap_or(Ratio::ZERO).to_decimal(3)
            }

            #[doc = concat!($what, " from a decimal in degrees, at most three places.")]
            ///
            /// # Errors
            /// [`NotADecimal`]; beyond 1,000 degrees it is too large.
            pub fn parse(text: &str) -> Result<Self, NotADecimal> {
                let ratio = Ratio::parse_decimal(text, 3)?;
                let thousandths = ratio.times(Ratio::whole(1_000)).map(Ratio::floor);
                match thousandths.ok().and_then(|found| i64::try_from(found).ok()) {
                    Some(found) if found.abs() <= 1_000_000 => Ok(Self(found)),
                    _ => Err(NotADecimal::TooLarge),
                }
            }
        }
    };
}

thousandths!(Celsius, "A temperature");
thousandths!(Kelvin, "A difference");

/// The exact temperature in degrees Celsius of one in degrees Fahrenheit.
///
/// # Errors
/// [`Overflow`]
///
/// # Source
/// The definition of the scale: 32 °F is 0 °C, 212 °F is 100 °C.
pub fn celsius_of_fahrenheit(degrees: Ratio) -> Result<Ratio, Overflow> {
    kelvin_of_fahrenheit(degrees.minus(Ratio::whole(32))?)
}

/// The exact difference in degrees Celsius of one in degrees Fahrenheit.
///
/// # Errors
/// [`Overflow`]
///
/// # Source
/// The definition of the scale: 180 °F of difference are 100 °C.
pub fn kelvin_of_fahrenheit(difference: Ratio) -> Result<Ratio, Overflow> {
    difference.times(Ratio::new(5, 9)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_converts_by_the_slope_alone() {
        // Source: check-values.md section 2, rule: 1 degC = 1.8 degF of difference; DT-02.
        assert_eq!(kelvin_of_fahrenheit(Ratio::whole(9)), Ok(Ratio::whole(5)));
        assert_eq!(celsius_of_fahrenheit(Ratio::whole(50)), Ok(Ratio::whole(10)));
        let friction = kelvin_of_fahrenheit(Ratio::whole(35)).expect("in range");
        assert_eq!(friction.to_decimal(3), "19.444");
        let target = celsius_of_fahrenheit(Ratio::whole(80)).expect("in range");
        assert_eq!(target.to_decimal(3), "26.667");
    }

    #[test]
    fn degrees_are_written_without_trailing_zeros() {
        assert_eq!(Celsius::from_thousandths(-18_500).decimal(), "-18.5");
        assert_eq!(Kelvin::from_thousandths(12_000).decimal(), "12");
    }

    #[test]
    fn degrees_have_three_places_at_most_and_may_be_below_zero() {
        assert_eq!(Celsius::parse("24.5").map(Celsius::thousandths), Ok(24_500));
        assert_eq!(Celsius::parse("-18").map(Celsius::thousandths), Ok(-18_000));
        assert_eq!(Kelvin::parse("0.125").map(Kelvin::thousandths), Ok(125));
        for bad in ["", "-", "--1", "1.2345", "warm", "1001", "1e3"] {
            assert!(Celsius::parse(bad).is_err(), "{bad}");
        }
    }
}
