//! Short names for long texts: entity tags and fingerprints of requests; bytes as text, and names
//! that nobody else has.

use sha2::{Digest, Sha256};
use std::fmt::Write;

/// Bytes of a digest that are kept: 128 bits, so that two texts never share one.
const BYTES_KEPT: usize = 16;

/// A digest of some texts, one after the other, in hexadecimal.
#[must_use]
pub fn of<'a>(texts: impl IntoIterator<Item = &'a [u8]>) -> String {
    let mut name = whole(texts);
    name.truncate(2 * BYTES_KEPT);
    name
}

/// All 256 bits of a digest of some texts, one after the other, in hexadecimal.
#[must_use]
pub fn whole<'a>(texts: impl IntoIterator<Item = &'a [u8]>) -> String {
    let mut hasher = Sha256::new();
    for text in texts {
        hasher.update(text);
    }
    hex(&hasher.finalize())
}

/// Bytes in hexadecimal.
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(2 * bytes.len()), |mut text, byte| {
        // Writing into a text never fails.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Hexadecimal digits of so many bytes that nobody else has; zeros, which name nothing, if the
/// system has no chance left.
#[must_use]
pub fn chance(bytes: usize) -> String {
    let mut random = vec![0_u8; bytes];
    let _ = getrandom::fill(&mut random);
    hex(&random)
}

/// A strong entity tag of a text, with its quotes.
#[must_use]
pub fn etag(text: &str) -> String {
    format!("\"{}\"", of([text.as_bytes()]))
}
