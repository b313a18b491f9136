//! In which format a sheet is wanted.

use super::POLICY;
use crate::problem::{Kind, Problem};
use actix_web::{
    HttpRequest, HttpResponse,
    http::header::{self, CONTENT_SECURITY_POLICY},
};
use maud::Markup;
use serde::Serialize;

/// A format of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// For programs.
    Json,
    /// For paper.
    Html,
}

impl Format {
    /// The format that a request prefers; JSON if it does not mind.
    ///
    /// # Errors
    /// [`Kind::NotAcceptable`]
    ///
    /// # Source
    /// RFC 9110, section 12.5.1.
    pub fn wanted(request: &HttpRequest) -> Result<Self, Problem> {
        let accept = request.headers().get_all(header::ACCEPT).map(|value| value.to_str());
        let accept: Vec<&str> = accept.filter_map(Result::ok).collect();
        Self::of(&accept.join(",")).ok_or_else(|| {
            let detail = "the sheet comes as application/json or text/html: ask for one of them";
            Problem::new(Kind::NotAcceptable, detail)
        })
    }

    fn of(accept: &str) -> Option<Self> {
        if accept.trim().is_empty() {
            return Some(Self::Json);
        }
        let (json, html) =
            (quality(accept, "application", "json"), quality(accept, "text", "html"));
        match (json, html) {
            (0, 0) => None,
            // JSON is the default: paper must be preferred to it.
            _ if html > json => Some(Self::Html),
            _ => Some(Self::Json),
        }
    }

    /// The answer: the view itself, or the view drawn.
    #[must_use]
    pub fn respond<T: Serialize>(self, view: &T, draw: impl FnOnce(&T) -> Markup) -> HttpResponse {
        match self {
            Self::Json => HttpResponse::Ok().json(view),
            Self::Html => html(draw(view)),
        }
    }
}

/// A page with its policy.
#[must_use]
pub fn html(page: Markup) -> HttpResponse {
    HttpResponse::Ok()
        .content_type("text/html; charset=utf-8")
        .insert_header((CONTENT_SECURITY_POLICY, POLICY))
        .insert_header((header::X_CONTENT_TYPE_OPTIONS, "nosniff"))
        .body(page.into_string())
}

/// How much a media type is wanted, in thousandths: by the most specific range that fits.
fn quality(accept: &str, kind: &str, subtype: &str) -> u32 {
    let mut found = (0_u8, 0_u32);
    for range in accept.split(',') {
        let mut parts = range.split(';');
        let name = parts.next().unwrap_or_default().trim().to_ascii_lowercase();
        let Some((main, sub)) = name.split_once('/') else { continue };
        let specific = match (main, sub) {
            ("*", "*") => 1,
            (main, "*") if main == kind => 2,
            (main, sub) if main == kind && sub == subtype => 3,
            _ => continue,
        };
        let stated = parts.filter_map(|part| part.trim().strip_prefix("q=")).next();
        if specific > found.0 {
            found = (specific, stated.map_or(1000, thousandths));
        }
    }
    found.1
}

/// `0.8` as 800; what cannot be read is not wanted.
fn thousandths(text: &str) -> u32 {
    let (whole, part) = text.trim().split_once('.').unwrap_or((text.trim(), ""));
    let padded = format!("{part:0<3}");
    let digits = padded.get(..3).and_then(|part| part.parse().ok()).unwrap_or(0);
    whole.parse::<u32>().map_or(0, |whole| (whole.min(1) * 1000 + digits).min(1000))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn json_is_the_default_and_a_browser_gets_paper() {
        for (accept, format) in [
            ("", Some(Format::Json)),
            ("*/*", Some(Format::Json)),
            ("application/json", Some(Format::Json)),
            ("text/html", Some(Format::Html)),
            ("text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8", Some(Format::Html)),
            ("text/html;q=0.5, application/json", Some(Format::Json)),
            ("text/*", Some(Format::Html)),
            ("application/json;q=0, text/html", Some(Format::Html)),
            ("application/pdf", None),
            ("text/csv", None),
        ] {
            assert_eq!(Format::of(accept), format, "{accept}");
        }
    }
}
