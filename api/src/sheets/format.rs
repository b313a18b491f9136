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
        Self::of(&accepted(request)).ok_or_else(|| {
            let detail = "the sheet comes as application/json or text/html: ask for one of them";
            Problem::new(Kind::NotAcceptable, detail)
        })
    }

    fn of(accept: &str) -> Option<Self> {
        const OFFERS: [Offer; 2] = [Offer("application", "json"), Offer("text", "html")];
        // JSON is the default: paper must be preferred to it.
        best(accept, &OFFERS).map(|at| if at == 0 { Self::Json } else { Self::Html })
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

/// A media type that is offered: its kind and subtype.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Offer(pub &'static str, pub &'static str);

/// Which of several formats a request prefers; the first if it does not mind.
///
/// # Errors
/// [`Kind::NotAcceptable`] names what is offered.
///
/// # Source
/// RFC 9110, section 12.5.1.
pub fn preferred(request: &HttpRequest, offers: &[Offer]) -> Result<usize, Problem> {
    best(&accepted(request), offers).ok_or_else(|| {
        let names: Vec<String> = offers.iter().map(|Offer(a, b)| format!("{a}/{b}")).collect();
        let detail = format!("it comes as {}: ask for one of them", names.join(", "));
        Problem::new(Kind::NotAcceptable, detail)
    })
}

/// What a request accepts, all its headers together.
fn accepted(request: &HttpRequest) -> String {
    let accept = request.headers().get_all(header::ACCEPT).map(|value| value.to_str());
    accept.filter_map(Result::ok).collect::<Vec<&str>>().join(",")
}

/// The position of the offer that is wanted most; of equals the first.
fn best(accept: &str, offers: &[Offer]) -> Option<usize> {
    if accept.trim().is_empty() {
        return Some(0);
    }
    let wanted = offers.iter().map(|Offer(kind, subtype)| quality(accept, kind, subtype));
    let wanted: Vec<u32> = wanted.collect();
    let most = wanted.iter().copied().max().filter(|&most| most > 0)?;
    wanted.iter().position(|&quality| quality == most)
}

/// A file that is no page.
#[must_use]
pub fn file(media_type: &'static str, body: String) -> HttpResponse {
    HttpResponse::Ok()
        .content_type(media_type)
        .insert_header((header::X_CONTENT_TYPE_OPTIONS, "nosniff"))
        .body(body)
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
