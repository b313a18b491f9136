//! Exact rational numbers in checked 128-bit steps.

use num_bigint::BigInt;
use num_rational::BigRational;
use std::cmp::Ordering;

/// An exact fraction.
///
/// Invariant: in lowest terms with a positive denominator, so equal values are
/// equal fields.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Ratio {
    numerator: i128,
    denominator: i128,
}

/// A step left the range of exact arithmetic.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a number grew beyond what can be computed exactly")]
pub struct Overflow;

const fn gcd(a: i128, b: i128) -> i128 {
    let (mut a, mut b) = (a.unsigned_abs(), b.unsigned_abs());
    while b != 0 {
        // Most steps of a bakery fit 64 bits, where division is far cheaper.
        if a <= u64::MAX as u128 && b <= u64::MAX as u128 {
            return gcd_64(a as u64, b as u64) as i128;
        }
        (a, b) = (b, a % b);
    }
    a as i128
}

const fn gcd_64(mut a: u64, mut b: u64) -> u64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

impl Ratio {
    /// Zero.
    pub const ZERO: Self = Self::whole(0);
    /// One.
    pub const ONE: Self = Self::whole(1);

    /// A whole number.
    #[must_use]
    pub const fn whole(value: i128) -> Self {
        Self { numerator: value, denominator: 1 }
    }

    /// `numerator / denominator`, reduced.
    ///
    /// # Errors
    /// [`Overflow`] if the denominator is zero or a sign cannot be turned.
    pub fn new(numerator: i128, denominator: i128) -> Result<Self, Overflow> {
        if denominator == 0 || numerator == i128::MIN || denominator == i128::MIN {
            return Err(Overflow);
        }
        let divisor = gcd(numerator, denominator).max(1);
        let sign = denominator.signum();
        Ok(Self {
            numerator: numerator / divisor * sign,
            denominator: denominator / divisor * sign,
        })
    }

    /// The numerator; carries the sign.
    #[must_use]
    pub const fn numerator(self) -> i128 {
        self.numerator
    }

    /// The denominator; always positive.
    #[must_use]
    pub const fn denominator(self) -> i128 {
        self.denominator
    }

    /// Whether the value is zero.
    #[must_use]
    pub const fn is_zero(self) -> bool {
        self.numerator == 0
    }

    /// Whether the value is above zero.
    #[must_use]
    pub const fn is_positive(self) -> bool {
        self.numerator > 0
    }

    /// The sum.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn plus(self, other: Self) -> Result<Self, Overflow> {
        if self.denominator == other.denominator {
            let sum = self.numerator.checked_add(other.numerator).ok_or(Overflow)?;
            return if self.denominator == 1 {
                Ok(Self::whole(sum))
            } else {
                Self::new(sum, self.denominator)
            };
        }
        let shared = gcd(self.denominator, other.denominator);
        let left = self.numerator.checked_mul(other.denominator / shared).ok_or(Overflow)?;
        let right = other.numerator.checked_mul(self.denominator / shared).ok_or(Overflow)?;
        let below = self.denominator.checked_mul(other.denominator / shared).ok_or(Overflow)?;
        Self::new(left.checked_add(right).ok_or(Overflow)?, below)
    }

    /// The difference.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn minus(self, other: Self) -> Result<Self, Overflow> {
        self.plus(Self { numerator: -other.numerator, denominator: other.denominator })
    }

    /// The product.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn times(self, other: Self) -> Result<Self, Overflow> {
        let across = gcd(self.numerator, other.denominator).max(1);
        let down = gcd(other.numerator, self.denominator).max(1);
        Ok(Self {
            numerator: (self.numerator / across)
                .checked_mul(other.numerator / down)
                .ok_or(Overflow)?,
            denominator: (self.denominator / down)
                .checked_mul(other.denominator / across)
                .ok_or(Overflow)?,
        })
    }

    /// The quotient.
    ///
    /// # Errors
    /// [`Overflow`], also for a zero divisor.
    pub fn over(self, other: Self) -> Result<Self, Overflow> {
        if other.numerator == 0 {
            return Err(Overflow);
        }
        let sign = other.numerator.signum();
        self.times(Self {
            numerator: other.denominator * sign,
            denominator: other.numerator * sign,
        })
    }

    /// What is left of one when this many percent of it are lost.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn left_after_percent(self) -> Result<Self, Overflow> {
        Self::whole(100).minus(self)?.over(Self::whole(100))
    }

    /// The largest whole number not above the value.
    #[must_use]
    pub const fn floor(self) -> i128 {
        self.numerator.div_euclid(self.denominator)
    }

    /// The smallest whole number not below the value.
    #[must_use]
    pub const fn ceil(self) -> i128 {
        -(-self.numerator).div_euclid(self.denominator)
    }

    /// The nearest whole number, halves away from zero.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn round_half_up(self) -> Result<i128, Overflow> {
        let doubled = self.numerator.abs().checked_mul(2).ok_or(Overflow)?;
        let below = self.denominator.checked_mul(2).ok_or(Overflow)?;
        let size = doubled.checked_add(self.denominator).ok_or(Overflow)? / below;
        Ok(size * self.numerator.signum())
    }

    /// The size without the sign.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self { numerator: self.numerator.abs(), denominator: self.denominator }
    }

    /// The same value with no bound on its size, for chains through many levels.
    #[must_use]
    pub fn to_big(self) -> BigRational {
        BigRational::new_raw(BigInt::from(self.numerator), BigInt::from(self.denominator))
    }

    /// Reads a plain decimal such as `0.25` or `68`: digits, one optional point.
    ///
    /// Shape: no exponent, no sign but a leading minus, at most `decimals` digits
    /// after the point and 15 before it.
    ///
    /// # Errors
    /// [`NotADecimal`] says which of these was broken.
    pub fn parse_decimal(text: &str, decimals: u32) -> Result<Self, NotADecimal> {
        let (negative, digits) = match text.strip_prefix('-') {
            Some(rest) => (true, rest),
            None => (false, text),
        };
        let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
        let plain = |piece: &str| piece.bytes().all(|byte| byte.is_ascii_digit());
        if whole.is_empty() || !plain(whole) || !plain(part) || digits.ends_with('.') {
            return Err(NotADecimal::Malformed);
        }
        if part.trim_end_matches('0').len() > decimals as usize {
            return Err(NotADecimal::TooFine { decimals });
        }
        if whole.trim_start_matches('0').len() > 15 {
            return Err(NotADecimal::TooLarge);
        }
        let part = part.trim_end_matches('0');
        let scale = 10_i128.pow(u32::try_from(part.len()).map_err(|_| NotADecimal::TooLarge)?);
        let parse = |piece: &str| if piece.is_empty() { Ok(0) } else { piece.parse::<i128>() };
        let whole = parse(whole).map_err(|_| NotADecimal::TooLarge)?;
        let part = parse(part).map_err(|_| NotADecimal::TooLarge)?;
        let size = whole * scale + part;
        Self::new(if negative { -size } else { size }, scale).map_err(|_| NotADecimal::TooLarge)
    }

    /// Writes the value rounded half up to `decimals` places, without trailing zeros.
    #[must_use]
    pub fn to_decimal(self, decimals: u32) -> String {
        let whole = self.numerator.abs() / self.denominator;
        let rest = Self { numerator: self.numerator.abs() % self.denominator, ..self };
        let scale = 10_i128.pow(decimals);
        let scaled = match rest.times(Self::whole(scale)).and_then(Self::round_half_up) {
            Ok(scaled) => scaled,
            // The rest is below one and the denominator huge: dropping its low
            // digits cannot change the places asked for by more than rounding.
            Err(Overflow) => rest.numerator / (self.denominator / scale).max(1),
        };
        let (whole, scaled) = if scaled == scale { (whole + 1, 0) } else { (whole, scaled) };
        let sign = if self.numerator < 0 && (whole != 0 || scaled != 0) { "-" } else { "" };
        if scaled == 0 {
            return format!("{sign}{whole}");
        }
        let part = format!("{scaled:0width$}", width = decimals as usize);
        format!("{sign}{whole}.{}", part.trim_end_matches('0'))
    }
}

impl Default for Ratio {
    fn default() -> Self {
        Self::ZERO
    }
}

impl PartialOrd for Ratio {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Ratio {
    /// Compares by cross products; by continued fractions where these would overflow.
    fn cmp(&self, other: &Self) -> Ordering {
        if self.denominator == other.denominator {
            return self.numerator.cmp(&other.numerator);
        }
        let left = self.numerator.checked_mul(other.denominator);
        let right = other.numerator.checked_mul(self.denominator);
        if let (Some(left), Some(right)) = (left, right) {
            return left.cmp(&right);
        }
        let (mut a, mut b) = (*self, *other);
        let mut swapped = false;
        loop {
            let by_floor = a.floor().cmp(&b.floor());
            let rest_a = a.numerator.rem_euclid(a.denominator);
            let rest_b = b.numerator.rem_euclid(b.denominator);
            let decided = match (by_floor, rest_a == 0, rest_b == 0) {
                (Ordering::Equal, true, true) => Ordering::Equal,
                (Ordering::Equal, true, false) => Ordering::Less,
                (Ordering::Equal, false, true) => Ordering::Greater,
                (Ordering::Equal, false, false) => {
                    // Both rests lie strictly between 0 and 1: compare their
                    // reciprocals, which are ordered the other way round.
                    a = Self { numerator: a.denominator, denominator: rest_a };
                    b = Self { numerator: b.denominator, denominator: rest_b };
                    swapped = !swapped;
                    continue;
                }
                (order, _, _) => order,
            };
            return if swapped { decided.reverse() } else { decided };
        }
    }
}

/// A big fraction rounded half up to some places, all of them written.
#[must_use]
pub fn big_decimal(value: &BigRational, places: usize) -> String {
    let scale = BigInt::from(10).pow(u32::try_from(places).unwrap_or(0));
    let half = BigRational::new(1.into(), 2.into());
    let scaled = (value * BigRational::from_integer(scale) + half).floor().to_integer();
    let sign = if scaled < BigInt::from(0) { "-" } else { "" };
    let digits = format!("{:0>width$}", scaled.magnitude().to_string(), width = places + 1);
    let (units, part) = digits.split_at(digits.len() - places);
    if part.is_empty() { format!("{sign}{units}") } else { format!("{sign}{units}.{part}") }
}

/// Why a text is not a decimal that we take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotADecimal {
    /// Other characters than digits and one point.
    #[error("write a plain decimal such as 12.5: digits and one point, no exponent")]
    Malformed,
    /// More digits after the point than the smallest unit.
    #[error("at most {decimals} digits may follow the point")]
    TooFine {
        /// Digits that may follow.
        decimals: u32,
    },
    /// More than fifteen digits before the point.
    #[error("the number is too large")]
    TooLarge,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ratio(text: &str) -> Ratio {
        Ratio::parse_decimal(text, 6).expect(text)
    }

    #[test]
    fn a_tenth_and_two_tenths_are_three_tenths() {
        assert_eq!(ratio("0.1").plus(ratio("0.2")), Ok(ratio("0.3")));
        assert_eq!(ratio("0.3").over(ratio("0.1")).map(Ratio::ceil), Ok(3));
    }

    #[test]
    fn halves_round_away_from_zero() {
        for (text, rounded) in [("0.5", 1), ("1.5", 2), ("2.49", 2), ("-0.5", -1), ("-2.49", -2)] {
            assert_eq!(ratio(text).round_half_up(), Ok(rounded), "{text}");
        }
    }

    #[test]
    fn floor_and_ceil_keep_their_side_below_zero() {
        assert_eq!((ratio("-1.5").floor(), ratio("-1.5").ceil()), (-2, -1));
        assert_eq!((ratio("2").floor(), ratio("2").ceil()), (2, 2));
    }

    #[test]
    fn order_is_right_where_cross_products_overflow() {
        let huge = Ratio::new(i128::MAX / 3, i128::MAX / 5).expect("in range");
        let near = Ratio::new(i128::MAX / 3 - 1, i128::MAX / 5).expect("in range");
        assert!(near < huge);
        assert!(ratio("-1.5") < ratio("-1.25"));
        assert_eq!(ratio("1.50").cmp(&ratio("1.5")), Ordering::Equal);
    }

    #[test]
    fn decimals_are_plain() {
        for bad in ["", ".", "1.", ".5", "1e3", "NaN", "+1", "1,5", " 1", "0x10", "1.0000001"] {
            assert!(Ratio::parse_decimal(bad, 6).is_err(), "{bad}");
        }
        assert_eq!(Ratio::parse_decimal("1.0000000", 6), Ok(Ratio::ONE));
        assert!(Ratio::parse_decimal("1000000000000000000000000000000", 6).is_err());
    }

    #[test]
    fn text_is_rounded_half_up_without_trailing_zeros() {
        let third = Ratio::new(2, 3).expect("in range");
        assert_eq!(third.to_decimal(6), "0.666667");
        assert_eq!(ratio("12.500").to_decimal(6), "12.5");
        assert_eq!(Ratio::new(-1, 3_000_000_000).expect("in range").to_decimal(6), "0");
        assert_eq!(ratio("0.999999").to_decimal(3), "1");
    }
}
