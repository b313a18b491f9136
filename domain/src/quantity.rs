//! Amounts of things: whole millionths of a base unit.

use crate::{
    limits::{AMOUNT_DECIMALS, AMOUNT_MAX},
    ratio::{NotADecimal, Ratio},
};
use std::fmt;

/// Millionths in one base unit: a microgram is the smallest mass.
pub const MICRO: i64 = 1_000_000;

/// What a thing is counted in.
///
/// The symbols are those of SI and UCUM; `each` counts pieces.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unit {
    /// Mass, in grams.
    Gram,
    /// Volume, in millilitres.
    Millilitre,
    /// Pieces.
    Each,
}

impl Unit {
    /// The symbol on the wire: `g`, `mL` or `each`.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Gram => "g",
            Self::Millilitre => "mL",
            Self::Each => "each",
        }
    }

    /// The base unit behind a symbol, and how many of its millionths one is.
    ///
    /// # Errors
    /// [`NotAQuantity::UnknownUnit`]
    ///
    /// # Source
    /// SI prefixes; symbols as in UCUM.
    pub fn parse(symbol: &str) -> Result<(Self, i64), NotAQuantity> {
        Ok(match symbol {
            "mg" => (Self::Gram, MICRO / 1_000),
            "g" => (Self::Gram, MICRO),
            "kg" => (Self::Gram, MICRO * 1_000),
            "mL" => (Self::Millilitre, MICRO),
            "L" => (Self::Millilitre, MICRO * 1_000),
            "each" => (Self::Each, MICRO),
            other => return Err(NotAQuantity::UnknownUnit(other.chars().take(20).collect())),
        })
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

/// An exact amount of one unit.
///
/// Invariant: at most [`AMOUNT_MAX`] base units either way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Quantity {
    micro: i64,
    unit: Unit,
}

impl Quantity {
    /// Nothing of a unit.
    #[must_use]
    pub const fn zero(unit: Unit) -> Self {
        Self { micro: 0, unit }
    }

    /// An amount in millionths of the unit.
    ///
    /// # Errors
    /// [`NotAQuantity::TooLarge`]
    pub fn from_micro(micro: i64, unit: Unit) -> Result<Self, NotAQuantity> {
        if micro.unsigned_abs() > (AMOUNT_MAX as u64) * (MICRO as u64) {
            return Err(NotAQuantity::TooLarge);
        }
        Ok(Self { micro, unit })
    }

    /// Reads a decimal and a unit symbol, such as `12.5` and `kg`.
    ///
    /// # Errors
    /// [`NotAQuantity`] says what is wrong: the digits, their number, the unit.
    pub fn parse(amount: &str, symbol: &str) -> Result<Self, NotAQuantity> {
        let (unit, factor) = Unit::parse(symbol)?;
        // A kilogram has three more places than a gram.
        let ratio = Ratio::parse_decimal(amount, AMOUNT_DECIMALS + 3)?;
        let micro = ratio.times(Ratio::whole(factor.into())).map_err(|_| NotAQuantity::TooLarge)?;
        if micro.denominator() != 1 {
            return Err(NotAQuantity::TooFine);
        }
        let micro = i64::try_from(micro.numerator()).map_err(|_| NotAQuantity::TooLarge)?;
        Self::from_micro(micro, unit)
    }

    /// Millionths of the base unit.
    #[must_use]
    pub const fn micro(self) -> i64 {
        self.micro
    }

    /// The base unit.
    #[must_use]
    pub const fn unit(self) -> Unit {
        self.unit
    }

    /// The amount as an exact number of millionths.
    #[must_use]
    pub const fn ratio(self) -> Ratio {
        Ratio::whole(self.micro as i128)
    }

    /// The amount in base units as plain decimal text.
    #[must_use]
    pub fn decimal(self) -> String {
        micro_decimal(Ratio::whole(self.micro.into()))
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.decimal(), self.unit)
    }
}

/// Millionths written in base units, rounded half up to six places.
#[must_use]
pub fn micro_decimal(micro: Ratio) -> String {
    match micro.over(Ratio::whole(MICRO.into())) {
        Ok(base) => base.to_decimal(AMOUNT_DECIMALS),
        // The fraction is too fine to divide once more: round it first.
        Err(_) => micro
            .round_half_up()
            .and_then(|whole| Ratio::new(whole, MICRO.into()))
            .map_or_else(|_| micro.floor().to_string(), |base| base.to_decimal(AMOUNT_DECIMALS)),
    }
}

/// Why a text is not an amount.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotAQuantity {
    /// The digits are not a plain decimal.
    #[error(transparent)]
    Decimal(#[from] NotADecimal),
    /// More digits than the smallest unit has.
    #[error("the amount is finer than a millionth of its base unit")]
    TooFine,
    /// Beyond the largest amount.
    #[error("the amount is larger than {AMOUNT_MAX} base units")]
    TooLarge,
    /// Not a unit that we know.
    #[error("unknown unit `{0}`: use mg, g, kg, mL, L or each")]
    UnknownUnit(String),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_tenths_of_a_kilogram_are_three_times_a_tenth() {
        // Source: check-values.md section 6, ledger invariant 11.
        let tenth = Quantity::parse("0.1", "kg").expect("a quantity");
        assert_eq!(tenth.micro() * 3, Quantity::parse("0.3", "kg").expect("a quantity").micro());
    }

    #[test]
    fn an_amount_finer_than_a_microgram_is_refused() {
        assert_eq!(Quantity::parse("0.0000001", "g"), Err(NotAQuantity::TooFine));
        assert!(Quantity::parse("0.000000001", "kg").is_ok());
        assert!(matches!(Quantity::parse("1e3", "g"), Err(NotAQuantity::Decimal(_))));
        assert!(matches!(Quantity::parse("1", "lb"), Err(NotAQuantity::UnknownUnit(_))));
        assert_eq!(
            Quantity::parse("1000000000000000000000000000000", "g"),
            Err(NotAQuantity::Decimal(NotADecimal::TooLarge))
        );
        assert_eq!(Quantity::parse("1000000001", "g"), Err(NotAQuantity::TooLarge));
    }
}
