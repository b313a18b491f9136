//! Money: whole minor units of one currency, per stated amount.

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
