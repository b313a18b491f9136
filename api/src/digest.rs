//! Short names for long texts: entity tags and fingerprints of requests; bytes as text, and names
//! that nobody else has.

use sha2::{Digest, Sha256};

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
    const DIGITS: [char; 16] =
        ['0', '1', '2', '3', '4', '5', '6', '7', '8', '9', 'a', 'b', 'c', 'd', 'e', 'f'];
    let halves = bytes.iter().flat_map(|byte| [byte >> 4, byte & 0xf]);
    halves.map(|half| DIGITS[usize::from(half)]).collect()
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
