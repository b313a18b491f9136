//! What every answer says to the browser that reads it.

use actix_web::http::header::{self, HeaderMap, HeaderName, HeaderValue};

/// The name of the request in the log.
pub(super) const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");

/// Our pages show themselves with our own style and script, and nothing else.
const POLICY: HeaderValue = HeaderValue::from_static(
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; base-uri 'none'; \
     form-action 'self'; frame-ancestors 'none'",
);
/// The browser of calls brings styles and a start script of its own.
const POLICY_OF_DOCS: HeaderValue = HeaderValue::from_static(
    "default-src 'none'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; \
     script-src 'self' 'unsafe-inline'; connect-src 'self'; base-uri 'none'; \
     frame-ancestors 'none'",
);

/// Adds what is not there yet.
pub(super) fn add(headers: &mut HeaderMap, path: &str, request_id: &str) {
    let policy = if path.starts_with("/docs") { POLICY_OF_DOCS } else { POLICY };
    let fixed = [
        (header::CONTENT_SECURITY_POLICY, policy),
        (header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff")),
        // Without any referrer a browser posts our own forms under the origin `null`, and the
        // door cannot know them (Fetch standard, "append a request `Origin` header").
        (header::REFERRER_POLICY, HeaderValue::from_static("same-origin")),
        (header::CROSS_ORIGIN_RESOURCE_POLICY, HeaderValue::from_static("same-origin")),
        (header::CROSS_ORIGIN_OPENER_POLICY, HeaderValue::from_static("same-origin")),
        // Sheets change with each order: no cache may show an old one.
        (header::CACHE_CONTROL, HeaderValue::from_static("no-store")),
    ];
    for (name, value) in fixed {
        if !headers.contains_key(&name) {
            headers.insert(name, value);
        }
    }
    if let Ok(value) = HeaderValue::from_str(request_id) {
        headers.insert(REQUEST_ID, value);
    }
}
