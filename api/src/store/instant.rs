//! Instants as they are stored: texts of one width, which sort as the instants do.

use super::StoreError;
use jiff::Timestamp;

/// An instant as stored text: RFC 3339 in UTC with all nine places of a second.
#[must_use]
pub fn text(instant: Timestamp) -> String {
    format!("{instant:.9}")
}

/// A stored instant.
///
/// # Errors
/// [`StoreError::Corrupt`]
pub fn read(text: &str) -> Result<Timestamp, StoreError> {
    text.parse().map_err(|_| StoreError::Corrupt("instant"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stored_instants_sort_as_instants_do() {
        // Without a fixed width "…00.5Z" would sort before "…00Z".
        let whole: Timestamp = "2026-06-10T07:30:00Z".parse().expect("an instant");
        let half: Timestamp = "2026-06-10T07:30:00.5Z".parse().expect("an instant");
        assert!(text(whole) < text(half));
        assert_eq!(text(whole), "2026-06-10T07:30:00.000000000Z");
        assert_eq!(read(&text(half)).expect("an instant"), half);
    }
}
