//! Money: whole minor units of one currency, per stated amount.

use crate::{figure::Figure, ratio::Overflow};
use num_bigint::BigInt;
use std::fmt;

/// A currency by its three letters.
///
/// Invariant: three upper-case letters.
///
/// # Source
/// ISO 4217.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency([u8; 3]);

/// The text is not a currency.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a currency: use three capital letters of ISO 4217, such as EUR")]
pub struct NotACurrency(String);

impl Currency {
    /// Reads three capital letters.
    ///
    /// # Errors
    /// [`NotACurrency`]
    pub fn parse(text: &str) -> Result<Self, NotACurrency> {
        match text.as_bytes() {
            &[a, b, c] if [a, b, c].iter().all(u8::is_ascii_uppercase) => Ok(Self([a, b, c])),
            _ => Err(NotACurrency(text.chars().take(10).collect())),
        }
    }

    /// The three letters.
    #[must_use]
    pub fn as_str(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or("???")
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// A sum of money in whole minor units (cents).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Money {
    /// Whole minor units.
    pub minor: i64,
    /// Of which currency.
    pub currency: Currency,
}

/// Whole minor units of figures that belong together, such that they sum to their sum rounded
/// half up: each its floor, and what is left to the largest remainders, ties as listed.
///
/// The one place where costs become money that is printed in lines with a total.
///
/// # Errors
/// [`Overflow`]
pub fn whole_minor(figures: &[Figure]) -> Result<Vec<i64>, Overflow> {
    let total = figures.iter().sum::<Figure>().rounded(0);
    share_out(figures, i64::try_from(&total).map_err(|_| Overflow)?)
}

/// Whole numbers near figures that sum to a total, which is about their sum.
///
/// # Errors
/// [`Overflow`]
pub fn share_out(figures: &[Figure], total: i64) -> Result<Vec<i64>, Overflow> {
    let mut whole: Vec<BigInt> = figures.iter().map(Figure::floor).collect();
    let left = BigInt::from(total) - whole.iter().sum::<BigInt>();
    let left = i64::try_from(&left).map_err(|_| Overflow)?;
    let mut order: Vec<usize> = (0..figures.len()).collect();
    let remainder = |at: usize| figures[at].minus(&whole[at].clone().into());
    order.sort_by_cached_key(|&at| std::cmp::Reverse(remainder(at)));
    if left < 0 {
        order.reverse();
    }
    let steps = usize::try_from(left.unsigned_abs()).map_err(|_| Overflow)?;
    for &at in order.iter().cycle().take(if order.is_empty() { 0 } else { steps }) {
        whole[at] += left.signum();
    }
    whole.iter().map(|minor| i64::try_from(minor).map_err(|_| Overflow)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thirds(above: i64) -> Figure {
        Figure::whole(above).over(&Figure::whole(3))
    }

    #[test]
    fn printed_lines_sum_to_the_printed_total() {
        let lines = [thirds(1), thirds(1), thirds(1), thirds(5)];
        assert_eq!(whole_minor(&lines).expect("small"), [1, 0, 0, 2]);
        // Of -1/3 and 1/3 the floors are -1 and 0; the one that is left goes to the larger rest.
        assert_eq!(whole_minor(&[thirds(-1), thirds(1)]).expect("small"), [0, 0]);
        assert_eq!(whole_minor(&[]).expect("nothing"), Vec::<i64>::new());
        assert_eq!(share_out(&lines, 2).expect("small"), [0, 0, 0, 2]);
        assert_eq!(share_out(&lines, 3).expect("small"), [1, 0, 0, 2]);
    }
}
