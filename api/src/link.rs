//! Texts as parts of an address.

/// A text as one segment of a path or one value of a query: percent-encoded, all but letters,
/// digits and `-._~`.
///
/// # Source
/// RFC 3986, sections 2.1 and 2.3.
#[must_use]
pub fn segment(text: &str) -> String {
    text.bytes().fold(String::with_capacity(text.len()), |mut segment, byte| {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            segment.push(char::from(byte));
        } else {
            segment.push_str(&format!("%{byte:02X}"));
        }
        segment
    })
}
