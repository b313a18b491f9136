//! The answer to what no operation takes.

use super::operations;
use crate::problem::{Kind, Problem};
use actix_web::{
    HttpRequest, HttpResponse, ResponseError as _,
    http::{Method, header},
};

/// Most characters of an address that an answer repeats.
const PATH_CHARS_SHOWN: usize = 100;

/// Says that an address leads nowhere, or which methods it takes.
#[must_use]
pub fn nowhere(request: &HttpRequest) -> HttpResponse {
    let path = request.match_info().as_str();
    let allowed = operations(request).map(|known| known.allowed(path)).unwrap_or_default();
    let path: String = request.path().chars().take(PATH_CHARS_SHOWN).collect();
    if allowed.is_empty() {
        let detail = format!("`{path}` leads nowhere: see /docs for every address");
        return Problem::new(Kind::NoSuchPath, detail).error_response();
    }
    let allow = allowed.iter().map(Method::as_str).collect::<Vec<_>>().join(", ");
    let detail = format!("`{path}` does not take {}: it takes {allow}", request.method());
    let mut response = Problem::new(Kind::MethodNotAllowed, detail).error_response();
    if let Ok(value) = header::HeaderValue::from_str(&allow) {
        response.headers_mut().insert(header::ALLOW, value);
    }
    response
}
