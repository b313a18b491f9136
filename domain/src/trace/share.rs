//! Exact shares through any number of steps.

use crate::ratio::{Overflow, Ratio};
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{Signed, Zero};

/// An exact fraction of something, from 0 to 1, through any number of steps.
///
/// Kept narrow as long as it fits, because most chains are short.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Share(Width);

#[derive(Debug, Clone, PartialEq, Eq)]
enum Width {
    Narrow(Ratio),
    Wide(BigRational),
}

impl Share {
    /// Nothing of it.
    pub const ZERO: Self = Self(Width::Narrow(Ratio::ZERO));
    /// All of it.
    pub const ONE: Self = Self(Width::Narrow(Ratio::ONE));

    /// Adds a part of another share.
    pub fn add_part(&mut self, other: &Self, part: Ratio) {
        let narrow = match (&self.0, &other.0) {
            (Width::Narrow(sum), Width::Narrow(share)) => {
                share.times(part).and_then(|part| sum.plus(part))
            }
            _ => Err(Overflow),
        };
        self.0 = match narrow {
            Ok(sum) => Width::Narrow(sum),
            Err(Overflow) => Width::Wide(self.to_big() + other.to_big() * part.to_big()),
        };
    }

    /// Whether it is nothing at all.
    #[must_use]
    pub fn is_zero(&self) -> bool {
        match &self.0 {
            Width::Narrow(ratio) => ratio.is_zero(),
            Width::Wide(ratio) => ratio.is_zero(),
        }
    }

    /// The fraction.
    #[must_use]
    pub fn to_big(&self) -> BigRational {
        match &self.0 {
            Width::Narrow(ratio) => ratio.to_big(),
            Width::Wide(ratio) => ratio.clone(),
        }
    }

    /// In percent, half up to six places; what is more than nothing never reads as 0.
    #[must_use]
    pub fn percent(&self) -> String {
        let scaled = self.to_big() * BigRational::from_integer(BigInt::from(100_000_000));
        let half = BigRational::new(BigInt::from(1), BigInt::from(2));
        let micro = (scaled + half).floor().to_integer();
        if micro.is_zero() && !self.is_zero() {
            return "below 0.000001".to_owned();
        }
        let million = BigInt::from(1_000_000);
        let (whole, part) = (&micro / &million, (&micro % &million).abs());
        let part = format!("{part:0>6}");
        match part.trim_end_matches('0') {
            "" => whole.to_string(),
            part => format!("{whole}.{part}"),
        }
    }
}
