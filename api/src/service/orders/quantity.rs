//! How many pieces a JSON number asks for.

use super::LineReason;
use domain::limits::PIECES_MAX;

/// What a number of an order line says, with its text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Quantity {
    /// As it was written.
    pub text: String,
    /// Whole pieces, or why it is not a number of pieces.
    pub pieces: Result<i64, LineReason>,
}

impl Quantity {
    /// Judges a JSON text; none if it is not a number at all.
    ///
    /// Exact: the value counts, not the way of writing it, so `6.0` is 6 and `1e1` is 10.
    ///
    /// # Source
    /// RFC 8259, section 6.
    #[must_use]
    pub fn judge(text: &str) -> Option<Self> {
        let (negative, size) = match text.strip_prefix('-') {
            Some(size) => (true, size),
            None => (false, text),
        };
        if !size.starts_with(|first: char| first.is_ascii_digit()) {
            return None;
        }
        let (mantissa, exponent) = size.split_once(['e', 'E']).unwrap_or((size, "0"));
        let (whole, part) = mantissa.split_once('.').unwrap_or((mantissa, ""));
        let digits = format!("{whole}{part}");
        let significant = digits.trim_start_matches('0').trim_end_matches('0');
        let pieces = if significant.is_empty() {
            Ok(0)
        } else if negative {
            Err(LineReason::NegativeQuantity)
        } else {
            whole_pieces(significant, places(&digits, part, exponent))
        };
        Some(Self { text: text.to_owned(), pieces })
    }
}

/// Zeros to put behind the significant digits; negative if some stand after the point.
fn places(digits: &str, part: &str, exponent: &str) -> i128 {
    let zeros = digits.len() - digits.trim_end_matches('0').len();
    let count = |length: usize| i128::try_from(length).unwrap_or(i128::MAX / 4);
    // An exponent too long to read is beyond every bound in its own direction.
    let far = if exponent.starts_with('-') { i128::MIN / 4 } else { i128::MAX / 4 };
    let exponent = exponent.parse().unwrap_or(far).clamp(i128::MIN / 4, i128::MAX / 4);
    exponent + count(zeros) - count(part.len())
}

fn whole_pieces(significant: &str, places: i128) -> Result<i64, LineReason> {
    if places < 0 {
        return Err(LineReason::FractionalQuantity);
    }
    let value = u32::try_from(places)
        .ok()
        .and_then(|places| 10_i64.checked_pow(places))
        .and_then(|scale| significant.parse::<i64>().ok()?.checked_mul(scale));
    value.filter(|&pieces| pieces <= PIECES_MAX).ok_or(LineReason::TooLarge)
}

#[cfg(test)]
mod tests {
    use super::*;
    use LineReason::{FractionalQuantity, NegativeQuantity, TooLarge};

    #[test]
    fn a_quantity_is_judged_by_its_value() {
        for (text, pieces) in [
            ("6", Ok(6)),
            ("0", Ok(0)),
            ("-0", Ok(0)),
            ("0e9", Ok(0)),
            ("6.0", Ok(6)),
            ("1e1", Ok(10)),
            ("1.20E2", Ok(120)),
            ("60e-1", Ok(6)),
            ("1000000", Ok(1_000_000)),
            ("1000001", Err(TooLarge)),
            ("1e30", Err(TooLarge)),
            ("1e999999999999999999999999999999999999999999", Err(TooLarge)),
            ("1e-999999999999999999999999999999999999999999", Err(FractionalQuantity)),
            ("2.5", Err(FractionalQuantity)),
            // More digits than a double holds: still not whole.
            ("6.00000000000000000000001", Err(FractionalQuantity)),
            ("-3", Err(NegativeQuantity)),
            ("-2.5", Err(NegativeQuantity)),
        ] {
            assert_eq!(Quantity::judge(text).map(|found| found.pieces), Some(pieces), "{text}");
        }
        for text in ["\"6\"", "null", "[6]", "true", "-", ""] {
            assert_eq!(Quantity::judge(text), None, "{text}");
        }
    }
}
