//! Figures: what long chains of fractions come to, exact as long as that can be afforded.
//!
//! A cost runs through every level of formulas without a rounding. Its fraction is kept as
//! it is while its denominator stays below 512 bits, far beyond any bakery of a few dozen
//! formulas. Where hundreds of formulas share users the denominators would multiply without
//! end; such a figure is cut, here and nowhere else, to a whole number of 2^-256, which no
//! printed digit can see.

use crate::ratio::Ratio;
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One, Signed, Zero};
use std::cmp::Ordering;

/// Longest denominator that is kept as it is, in bits.
const FRACTION_BITS_MAX: u64 = 512;
/// A cut figure counts units of two to the power of minus this.
const CUT_BITS: u64 = 256;
/// A cut figure nearer than this to a whole number, or to a tie, is meant to be on it.
const SNAP_BITS: u64 = 128;

/// A number of a long exact chain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure(Form);

#[derive(Debug, Clone, PartialEq, Eq)]
enum Form {
    Fraction(BigRational),
    Cut(BigInt),
}

impl Default for Figure {
    fn default() -> Self {
        Self::zero()
    }
}

impl From<Ratio> for Figure {
    fn from(ratio: Ratio) -> Self {
        Self(Form::Fraction(ratio.to_big()))
    }
}

impl From<BigRational> for Figure {
    fn from(value: BigRational) -> Self {
        if value.denom().bits() <= FRACTION_BITS_MAX {
            return Self(Form::Fraction(value));
        }
        Self(Form::Cut(cut(&value)))
    }
}

impl From<BigInt> for Figure {
    fn from(value: BigInt) -> Self {
        Self(Form::Fraction(BigRational::from_integer(value)))
    }
}

fn cut(value: &BigRational) -> BigInt {
    (value.numer() << CUT_BITS) / value.denom()
}

impl Figure {
    /// Nothing.
    #[must_use]
    pub fn zero() -> Self {
        Self(Form::Fraction(BigRational::zero()))
    }

    /// A whole number.
    #[must_use]
    pub fn whole(value: i64) -> Self {
        Self::from(BigInt::from(value))
    }

    /// Whether it is nothing.
    #[must_use]
    pub fn is_zero(&self) -> bool {
        match &self.0 {
            Form::Fraction(value) => value.is_zero(),
            Form::Cut(value) => value.is_zero(),
        }
    }

    /// Whether it is more than nothing.
    #[must_use]
    pub fn is_positive(&self) -> bool {
        match &self.0 {
            Form::Fraction(value) => value.is_positive(),
            Form::Cut(value) => value.is_positive(),
        }
    }

    fn as_cut(&self) -> BigInt {
        match &self.0 {
            Form::Fraction(value) => cut(value),
            Form::Cut(value) => value.clone(),
        }
    }

    /// The sum.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        match (&self.0, &other.0) {
            (Form::Fraction(a), Form::Fraction(b)) => Self::from(a + b),
            _ => Self(Form::Cut(self.as_cut() + other.as_cut())),
        }
    }

    /// The difference.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        match (&self.0, &other.0) {
            (Form::Fraction(a), Form::Fraction(b)) => Self::from(a - b),
            _ => Self(Form::Cut(self.as_cut() - other.as_cut())),
        }
    }

    /// The product.
    #[must_use]
    pub fn times(&self, other: &Self) -> Self {
        match (&self.0, &other.0) {
            (Form::Fraction(a), Form::Fraction(b)) => Self::from(a * b),
            // A whole number or short fraction needs no cut of its own.
            (Form::Fraction(a), Form::Cut(b)) | (Form::Cut(b), Form::Fraction(a)) => {
                Self(Form::Cut(b * a.numer() / a.denom()))
            }
            (Form::Cut(a), Form::Cut(b)) => Self(Form::Cut((a * b) >> CUT_BITS)),
        }
    }

    /// The quotient; nothing if the divisor is nothing, which callers rule out.
    #[must_use]
    pub fn over(&self, other: &Self) -> Self {
        if other.is_zero() {
            return Self::zero();
        }
        match (&self.0, &other.0) {
            (Form::Fraction(a), Form::Fraction(b)) => Self::from(a / b),
            (Form::Cut(a), Form::Fraction(b)) => Self(Form::Cut(a * b.denom() / b.numer())),
            (_, Form::Cut(b)) => Self(Form::Cut((self.as_cut() << CUT_BITS) / b)),
        }
    }

    /// The smallest whole number that is not below it.
    #[must_use]
    pub fn ceil(&self) -> BigInt {
        match &self.0 {
            Form::Fraction(value) => value.ceil().to_integer(),
            Form::Cut(value) => {
                let snap = BigInt::one() << (CUT_BITS - SNAP_BITS);
                let above = (BigInt::one() << CUT_BITS) - BigInt::one() - snap;
                (value + above) >> CUT_BITS
            }
        }
    }

    /// The largest whole number that is not above it.
    #[must_use]
    pub fn floor(&self) -> BigInt {
        match &self.0 {
            Form::Fraction(value) => value.floor().to_integer(),
            Form::Cut(value) => (value + (BigInt::one() << (CUT_BITS - SNAP_BITS))) >> CUT_BITS,
        }
    }

    /// It times ten to the power of some places, rounded half up to a whole number.
    #[must_use]
    pub fn rounded(&self, places: u32) -> BigInt {
        let scaled = self.times(&Self::from(BigInt::from(10).pow(places)));
        scaled.plus(&Self(Form::Fraction(BigRational::new(1.into(), 2.into())))).floor()
    }

    /// Rounded half up to some places, with all of them written.
    #[must_use]
    pub fn decimal(&self, places: u32) -> String {
        written(&self.rounded(places), places)
    }

    /// As a fraction: its own, or that of what it was cut to.
    #[must_use]
    pub fn to_fraction(&self) -> BigRational {
        match &self.0 {
            Form::Fraction(value) => value.clone(),
            Form::Cut(value) => BigRational::new(value.clone(), BigInt::one() << CUT_BITS),
        }
    }
}

impl PartialOrd for Figure {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Figure {
    fn cmp(&self, other: &Self) -> Ordering {
        match (&self.0, &other.0) {
            (Form::Fraction(a), Form::Fraction(b)) => a.cmp(b),
            _ => self.as_cut().cmp(&other.as_cut()),
        }
    }
}

impl<'a> std::iter::Sum<&'a Self> for Figure {
    fn sum<I: Iterator<Item = &'a Self>>(figures: I) -> Self {
        figures.fold(Self::zero(), |sum, one| sum.plus(one))
    }
}

/// A whole number of so many decimal places, with all of them written.
#[must_use]
pub fn written(scaled: &BigInt, places: u32) -> String {
    let sign = if scaled.is_negative() { "-" } else { "" };
    let width = places as usize + 1;
    let digits = format!("{:0>width$}", scaled.magnitude());
    if places == 0 {
        return format!("{sign}{digits}");
    }
    let (major, minor) = digits.split_at(digits.len() - places as usize);
    format!("{sign}{major}.{minor}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fraction(above: i64, below: i64) -> Figure {
        Figure::whole(above).over(&Figure::whole(below))
    }

    /// Sums with ever new primes below the line, until the fraction is cut.
    fn long() -> Figure {
        let mut sum = Figure::zero();
        let mut below = 1_000_003_i64;
        while matches!(sum.0, Form::Fraction(_)) {
            sum = sum.plus(&fraction(1, below));
            below += 2;
        }
        sum
    }

    #[test]
    fn short_chains_stay_exact_and_round_half_up() {
        let sum = fraction(1, 3).plus(&fraction(1, 6));
        assert_eq!(sum, fraction(1, 2));
        assert_eq!(sum.decimal(0), "1");
        assert_eq!(fraction(-1, 8).decimal(2), "-0.12");
        assert_eq!(fraction(2_000_001, 2_000_000).decimal(6), "1.000001");
        assert_eq!(Figure::whole(1).over(&Figure::zero()), Figure::zero());
    }

    #[test]
    fn a_cut_figure_agrees_with_its_fraction_beyond_every_printed_digit() {
        let long = long();
        let exact = BigRational::from_integer(BigInt::from(7)) * long.to_fraction();
        let near = long.times(&Figure::whole(7));
        assert_eq!(near.decimal(60), Figure::from(exact).decimal(60));
        assert_eq!(long.over(&long).decimal(60), Figure::whole(1).decimal(60));
        assert_eq!(long.minus(&long), Figure(Form::Cut(BigInt::zero())));
    }

    #[test]
    fn the_error_of_a_cut_opens_no_load_and_breaks_no_tie() {
        let long = long();
        let two = long.over(&long).plus(&long.over(&long));
        assert_eq!(two.ceil(), BigInt::from(2));
        assert_eq!(two.floor(), BigInt::from(2));
        let tie = two.plus(&fraction(1, 2)).minus(&long).plus(&long);
        assert_eq!(tie.rounded(0), BigInt::from(3));
        assert!(tie > two && two > long);
    }
}
