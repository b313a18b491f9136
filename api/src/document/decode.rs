//! JSON text into a body, or the one place at which its shape is wrong.

use super::Fault;
use serde::de::DeserializeOwned;

/// Why a text is not a body.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Undecodable {
    /// It is not JSON at all.
    NotJson(String),
    /// It is JSON of another shape.
    Shape(Fault),
}

/// Reads JSON into a body.
///
/// # Errors
/// [`Undecodable`] names the place and what was expected there.
pub fn decode<T: DeserializeOwned>(text: &[u8]) -> Result<T, Undecodable> {
    if has_nul(text) {
        // No database keeps it, and nobody writes it on purpose.
        let detail = "a text holds the character NUL (\\u0000): leave it out";
        return Err(Undecodable::NotJson(detail.to_owned()));
    }
    let mut deserializer = serde_json::Deserializer::from_slice(text);
    let body = serde_path_to_error::deserialize(&mut deserializer).map_err(|error| {
        let pointer = pointer(error.path());
        let inner = error.into_inner();
        if !inner.is_data() {
            return Undecodable::NotJson(format!("the body is not JSON: {inner}"));
        }
        let text = shortened(&inner.to_string(), DETAIL_CHARS_MAX);
        let kind = if text.starts_with("unknown field") { "unknown-key" } else { "invalid-body" };
        Undecodable::Shape(Fault { pointer, kind, detail: text })
    })?;
    deserializer
        .end()
        .map_err(|error| Undecodable::NotJson(format!("the body is not JSON: {error}")))?;
    Ok(body)
}

/// Whether a text of the JSON has the character of number 0, which only an escape can write.
fn has_nul(text: &[u8]) -> bool {
    const ESCAPE: &[u8] = b"u0000";
    let mut at = 0;
    while let Some(found) = text[at..].iter().position(|byte| *byte == b'\\') {
        let after = at + found + 1;
        if text[after..].starts_with(ESCAPE) {
            return true;
        }
        // What is escaped is no escape of its own.
        at = (after + 1).min(text.len());
    }
    false
}

/// Most characters of a sentence: the decoder repeats what it was sent, however long.
const DETAIL_CHARS_MAX: usize = 300;
/// Most characters of a key in a pointer.
const KEY_CHARS_MAX: usize = 100;

fn shortened(text: &str, most: usize) -> String {
    match text.char_indices().nth(most) {
        None => text.to_owned(),
        Some((end, _)) => format!("{}…", &text[..end]),
    }
}

/// A path of the decoder as a JSON Pointer.
fn pointer(path: &serde_path_to_error::Path) -> String {
    use serde_path_to_error::Segment;
    let mut pointer = String::new();
    for segment in path {
        let part = match segment {
            Segment::Seq { index } => index.to_string(),
            Segment::Map { key } => {
                shortened(key, KEY_CHARS_MAX).replace('~', "~0").replace('/', "~1")
            }
            Segment::Enum { variant } => variant.clone(),
            Segment::Unknown => continue,
        };
        pointer.push('/');
        pointer.push_str(&part);
    }
    pointer
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::site::CustomerBody;

    #[test]
    fn a_wrong_shape_is_named_by_its_place() {
        let Err(Undecodable::Shape(fault)) =
            decode::<CustomerBody>(br#"{"code":"a","tier":1,"cutoff":{"day":"x","time":"1"}}"#)
        else {
            panic!("a text is not a day")
        };
        assert_eq!((fault.pointer.as_str(), fault.kind), ("/cutoff/day", "invalid-body"));
        let Err(Undecodable::Shape(fault)) =
            decode::<CustomerBody>(br#"{"code":"a","tier":1,"teir":2}"#)
        else {
            panic!("a typo must not vanish")
        };
        assert_eq!(fault.kind, "unknown-key");
        for bad in [&b"{"[..], b"", b"{} {}", b"not json"] {
            assert!(decode::<CustomerBody>(bad).is_err());
        }
    }
}
