//! Exact numbers as text: decimals and fractions of any size.

use anyhow::{Context, Result, bail};
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One, Signed, Zero};

/// A whole number.
#[must_use]
pub fn whole(value: i64) -> BigRational {
    BigRational::from_integer(BigInt::from(value))
}

/// Reads `12.5`, `-3` or `p/q`.
///
/// # Errors
/// Names the text that is neither.
pub fn parse(text: &str) -> Result<BigRational> {
    let text = text.trim();
    if let Some((above, below)) = text.split_once('/') {
        let (above, below) = (parse(above)?, parse(below)?);
        if below.is_zero() {
            bail!("`{text}` divides by zero");
        }
        return Ok(above / below);
    }
    let (negative, digits) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    let (before, after) = digits.split_once('.').unwrap_or((digits, ""));
    let all_digits = [before, after].iter().all(|part| part.bytes().all(|b| b.is_ascii_digit()));
    if before.is_empty() || !all_digits {
        bail!("`{text}` is neither a decimal nor a fraction");
    }
    let joined: BigInt = format!("{before}{after}").parse().context("digits")?;
    let value = BigRational::new(joined, ten_to(after.len()));
    Ok(if negative { -value } else { value })
}

fn ten_to(places: usize) -> BigInt {
    num_traits::pow(BigInt::from(10), places)
}

/// The value rounded half up (away from zero) to `places`, without trailing zeros.
#[must_use]
pub fn decimal(value: &BigRational, places: usize) -> String {
    let scaled = (value.abs() * BigRational::from_integer(ten_to(places))
        + BigRational::new(BigInt::one(), BigInt::from(2)))
    .floor()
    .to_integer();
    let digits = format!("{scaled:0>width$}", width = places + 1);
    let (before, after) = digits.split_at(digits.len() - places);
    let after = after.trim_end_matches('0');
    let sign = if value.is_negative() && !scaled.is_zero() { "-" } else { "" };
    if after.is_empty() { format!("{sign}{before}") } else { format!("{sign}{before}.{after}") }
}

/// Whether the value ends within so many decimal places.
#[must_use]
pub fn ends_within(value: &BigRational, places: usize) -> bool {
    (value * BigRational::from_integer(ten_to(places))).is_integer()
}

/// Whether two values are within a millionth of each other.
#[must_use]
pub fn within_a_millionth(left: &BigRational, right: &BigRational) -> bool {
    (left - right).abs() <= BigRational::new(BigInt::one(), ten_to(6))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exact(text: &str) -> BigRational {
        parse(text).expect(text)
    }

    #[test]
    fn decimals_and_fractions_are_read_exactly() {
        assert_eq!(exact("0.1") + exact("0.2"), exact("0.3"));
        assert_eq!(exact("10/4"), exact("2.5"));
        assert_eq!(exact("-3"), whole(-3));
        for bad in ["", "1e3", ".5", "1/0", "NaN", "12,5"] {
            assert!(parse(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn text_is_rounded_half_up() {
        assert_eq!(decimal(&exact("2/3"), 6), "0.666667");
        assert_eq!(decimal(&exact("-0.0000005"), 6), "-0.000001");
        assert_eq!(decimal(&exact("1700.50"), 6), "1700.5");
        assert_eq!(decimal(&exact("5"), 0), "5");
    }

    #[test]
    fn a_millionth_is_the_limit() {
        assert!(within_a_millionth(&exact("1"), &exact("1.000001")));
        assert!(!within_a_millionth(&exact("1"), &exact("1.0000011")));
        assert!(ends_within(&exact("28.349523125"), 9) && !ends_within(&exact("1/3"), 18));
    }
}
