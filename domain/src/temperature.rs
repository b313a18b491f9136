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

#[cfg(test)]
mod tests {
    use super::*;

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
