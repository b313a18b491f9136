//! Digital Links: the same elements as a web address.

use super::{Element, Identifier, Placed, ScanFault};
use std::fmt::Write as _;

/// Identifiers that a link can start with.
const KEYS: [&str; 14] = [
    "00", "01", "253", "255", "401", "402", "414", "417", "8003", "8004", "8006", "8010", "8017",
    "8018",
];
/// Identifiers that follow a key in the path, in this order.
const QUALIFIERS: [&str; 3] = ["22", "10", "21"];

pub(super) fn is_link(body: &[char]) -> bool {
    let head: String = body.iter().take(8).collect::<String>().to_ascii_lowercase();
    head.starts_with("http://") || head.starts_with("https://")
}

/// A part of the address, and the character at which it starts.
type Part = (usize, String);

pub(super) fn read(body: &[char], from: usize) -> Result<Vec<Placed>, Vec<ScanFault>> {
    let fault = |position: usize, detail: &str| {
        Err(vec![ScanFault { position: from + position, detail: detail.to_owned() }])
    };
    let end = body.iter().position(|c| *c == '#').unwrap_or(body.len());
    let query = body[..end].iter().position(|c| *c == '?').unwrap_or(end);
    let domain = body.iter().take(query).position(|c| *c == ':').map_or(0, |at| at + 3);
    let path = split(&body[..query], domain, '/');
    // The first part is the domain, which is any.
    let Some(key) = (1..path.len()).find(|&at| is_key(&path[at..])) else {
        return fault(domain, "no identifier that a link starts with, such as /01/, is in it");
    };
    let mut placed = Vec::new();
    for pair in path[key..].chunks(2) {
        let [(at, identifier), (begin, value)] = pair else { continue };
        let value = decode(value, false).map_err(|within| {
            let detail = "a percent sign is followed by two hexadecimal digits".to_owned();
            vec![ScanFault { position: from + begin + within, detail }]
        })?;
        let value = padded(identifier, value);
        placed.push((from + at, Element { identifier: identifier.clone(), value }));
    }
    for (at, pair) in split(&body[..end], query + 1, '&') {
        let Some((identifier, value)) = pair.split_once('=') else { continue };
        // Other questions in the address are the resolver's own.
        if identifier.is_empty() || !identifier.bytes().all(|byte| byte.is_ascii_digit()) {
            continue;
        }
        let value = decode(value, true).map_err(|within| {
            let detail = "a percent sign is followed by two hexadecimal digits".to_owned();
            vec![ScanFault { position: from + at + identifier.len() + 1 + within, detail }]
        })?;
        let identifier = identifier.to_owned();
        let value = padded(&identifier, value);
        placed.push((from + at, Element { identifier, value }));
    }
    Ok(placed)
}

/// Parts between a sign, from a character on.
fn split(body: &[char], from: usize, sign: char) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    if from >= body.len() {
        return parts;
    }
    parts.push((from, String::new()));
    for (at, c) in body.iter().enumerate().skip(from) {
        if *c == sign {
            parts.push((at + 1, String::new()));
        } else if let Some((_, part)) = parts.last_mut() {
            part.push(*c);
        }
    }
    // An address may end in its sign.
    parts.pop_if(|(_, last)| last.is_empty());
    parts
}

/// Whether parts of a path are a key and its qualifiers, each with a value.
fn is_key(parts: &[Part]) -> bool {
    let pairs = parts.chunks(2);
    parts.len() >= 2
        && parts.len().is_multiple_of(2)
        && KEYS.contains(&parts[0].1.as_str())
        && pairs.skip(1).all(|pair| Identifier::find(&pair[0].1).is_some())
}

/// A shorter number of a pack is one of 14 digits with zeros before it.
fn padded(identifier: &str, value: String) -> String {
    let short = ["01", "02"].contains(&identifier) && [8, 12, 13].contains(&value.len());
    if short { format!("{value:0>14}") } else { value }
}

/// Percent-decodes a part; a plus is a space only in the query. The error is the character at
/// which stands what cannot be decoded.
fn decode(text: &str, query: bool) -> Result<String, usize> {
    let mut bytes = Vec::with_capacity(text.len());
    // The character that each byte comes from.
    let mut places = Vec::with_capacity(text.len());
    let mut rest = text.chars().enumerate();
    while let Some((at, c)) = rest.next() {
        match c {
            '%' => {
                let mut digit = || {
                    let (_, c) = rest.next()?;
                    c.to_digit(16).and_then(|digit| u8::try_from(digit).ok())
                };
                let (Some(high), Some(low)) = (digit(), digit()) else { return Err(at) };
                bytes.push(high << 4 | low);
            }
            '+' if query => bytes.push(b' '),
            c => bytes.extend_from_slice(c.encode_utf8(&mut [0; 4]).as_bytes()),
        }
        places.resize(bytes.len(), at);
    }
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        places.get(at).copied().unwrap_or_default()
    })
}

/// Percent-encodes all but what is reserved for nothing.
fn encode(text: &str) -> String {
    let mut encoded = String::new();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            encoded.push(char::from(byte));
        } else {
            // Writing to a text cannot fail.
            let _ = write!(encoded, "%{byte:02X}");
        }
    }
    encoded
}

/// Key and qualifiers in the path, all else in the query, fixed lengths first.
pub(super) fn write(elements: &[Element], resolver: &str) -> Option<String> {
    let key = KEYS.iter().find_map(|key| elements.iter().find(|one| one.identifier == *key))?;
    let qualifiers: Vec<&Element> = if key.identifier == "01" {
        let of = |wanted: &&str| elements.iter().find(|one| one.identifier == **wanted);
        QUALIFIERS.iter().filter_map(of).collect()
    } else {
        Vec::new()
    };
    let mut text = resolver.trim_end_matches('/').to_owned();
    let path = std::iter::once(key).chain(qualifiers.iter().copied());
    for Element { identifier, value } in path {
        let _ = write!(text, "/{identifier}/{}", encode(value));
    }
    let mut others: Vec<&Element> =
        elements.iter().filter(|one| *one != key && !qualifiers.contains(one)).collect();
    others.sort_by_key(|one| Identifier::find(&one.identifier).is_none_or(|id| !id.predefined));
    for (at, Element { identifier, value }) in others.into_iter().enumerate() {
        let sign = if at == 0 { '?' } else { '&' };
        let _ = write!(text, "{sign}{identifier}={}", encode(value));
    }
    Some(text)
}
