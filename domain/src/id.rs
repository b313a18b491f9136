//! Codes: the names that people give to things.

use crate::limits::CODE_BYTES_MAX;
use std::{borrow::Borrow, fmt, sync::Arc};

/// A name chosen by the bakery: lower-case words and digits joined by hyphens.
///
/// Invariant: 1 to 64 bytes of `[a-z0-9]` words with single hyphens between.
/// Cheap to clone; ordered as text.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Code(Arc<str>);

/// The text is not a code.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{0}` is not a code: use lower-case words and digits joined by hyphens, at most 64 characters"
)]
pub struct NotACode(String);

impl Code {
    /// Reads a code.
    ///
    /// # Errors
    /// [`NotACode`] if the text is empty, too long or has other characters.
    pub fn parse(text: &str) -> Result<Self, NotACode> {
        let well_formed = !text.is_empty()
            && text.len() <= CODE_BYTES_MAX
            && text.split('-').all(|word| {
                !word.is_empty()
                    && word.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit())
            });
        if well_formed {
            Ok(Self(text.into()))
        } else {
            Err(NotACode(text.chars().take(CODE_BYTES_MAX).collect()))
        }
    }

    /// The code as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl fmt::Debug for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl Borrow<str> for Code {
    fn borrow(&self) -> &str {
        &self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_lower_case_words_joined_by_hyphens() {
        for good in ["a", "rye", "sugar-bun", "type-55", "0"] {
            assert_eq!(Code::parse(good).map(|code| code.to_string()), Ok(good.to_string()));
        }
        for bad in ["", "-", "a-", "-a", "a--b", "Rye", "rye flour", "ryé", &"a".repeat(65)] {
            assert!(Code::parse(bad).is_err(), "{bad}");
        }
    }
}
