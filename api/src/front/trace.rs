//! The name of a request among the calls of several services.

use crate::digest;
use actix_web::http::header::HeaderMap;

/// Bytes that name a trace.
const ID_BYTES: usize = 16;

/// A request's place in a trace.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trace {
    /// 32 hexadecimal digits, the same for all that one cause set off.
    pub id: String,
    /// Who called: 16 hexadecimal digits; none if nobody said.
    pub parent: Option<String>,
}

/// The trace that a caller names, or one of its own.
pub(super) fn of(headers: &HeaderMap) -> Trace {
    let said = headers.get("traceparent").and_then(|value| value.to_str().ok());
    said.and_then(read).unwrap_or_else(|| Trace { id: digest::chance(ID_BYTES), parent: None })
}

/// Reads `00-TRACE-PARENT-FLAGS`; a later version may say more after it.
///
/// # Source
/// W3C Trace Context, section 3.2: zeros name nothing, and version ff is none.
fn read(text: &str) -> Option<Trace> {
    let mut parts = text.split('-');
    let (version, id) = (parts.next()?, parts.next()?);
    let (parent, flags) = (parts.next()?, parts.next()?);
    let known = is_hex(version, 2) && version != "ff";
    let whole = known && is_hex(id, 32) && is_hex(parent, 16) && is_hex(flags, 2);
    let named = id.bytes().any(|byte| byte != b'0') && parent.bytes().any(|byte| byte != b'0');
    let more = version == "00" && parts.next().is_some();
    (whole && named && !more).then(|| Trace { id: id.to_owned(), parent: Some(parent.to_owned()) })
}

fn is_hex(text: &str, digits: usize) -> bool {
    text.len() == digits && text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_named_trace_is_taken_and_a_broken_name_is_not() {
        // The example of W3C Trace Context, section 3.2.3.
        let id = "4bf92f3577b34da6a3ce929d0e0e4736";
        let trace = read(&format!("00-{id}-00f067aa0ba902b7-01")).expect("the example");
        assert_eq!((trace.id.as_str(), trace.parent.as_deref()), (id, Some("00f067aa0ba902b7")));
        assert!(read(&format!("cc-{id}-00f067aa0ba902b7-01-what-comes-later")).is_some());
        for broken in [
            format!("ff-{id}-00f067aa0ba902b7-01"),
            format!("00-{id}-00f067aa0ba902b7-01-more"),
            format!("00-{}-00f067aa0ba902b7-01", id.to_uppercase()),
            format!("00-{id}-0000000000000000-01"),
            format!("00-{}-00f067aa0ba902b7-01", "0".repeat(32)),
            "00".to_owned(),
        ] {
            assert_eq!(read(&broken), None, "{broken}");
        }
        assert!(is_hex(&digest::chance(ID_BYTES), 32));
    }
}
