//! In which format a sheet is wanted, and how it goes out in it.

use super::STYLE;
use crate::{
    messages::{Language, Words},
    pages::visit::language,
    pieces::Pieces,
    problem::{Kind, Problem},
    service::Refusal,
    state::State,
    store::StoreError,
};
use actix_web::{HttpRequest, HttpResponse, http::header, web};
use maud::Markup;
use paper::{Looks, Size};
use serde::Serialize;
use std::{io::Write, sync::LazyLock};

/// A format of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// For programs.
    Json,
    /// For a browser, and what it prints.
    Html(Words),
    /// For a printer and for the folder of the morning.
    Pdf(Words, Size),
}

impl Format {
    /// The format that a request prefers; JSON if it does not mind.
    ///
    /// # Errors
    /// [`Kind::NotAcceptable`], or a language that sheets do not speak.
    ///
    /// # Source
    /// RFC 9110, section 12.5.1.
    pub fn wanted(request: &HttpRequest) -> Result<Self, Problem> {
        let (words, size) = (words(request)?, size(request));
        Self::of(&accepted(request), words, size).ok_or_else(|| {
            let detail = "the sheet comes as application/json, text/html or application/pdf: \
                          ask for one of them";
            Problem::new(Kind::NotAcceptable, detail)
        })
    }

    fn of(accept: &str, words: Words, size: Size) -> Option<Self> {
        const OFFERS: [Offer; 3] =
            [Offer("application", "json"), Offer("text", "html"), Offer("application", "pdf")];
        // JSON is the default: paper must be preferred to it, and a file to a page.
        best(accept, &OFFERS).map(|at| match at {
            0 => Self::Json,
            1 => Self::Html(words),
            _ => Self::Pdf(words, size),
        })
    }

    /// The bytes of a sheet, for threads that may take their time.
    ///
    /// # Errors
    /// `internal` if they cannot be made.
    pub fn bytes<T: Serialize>(
        self,
        view: &T,
        draw: impl FnOnce(Words, &T) -> Markup,
    ) -> Result<Pieces, Refusal> {
        let broken = || Refusal::stated("internal", "the sheet cannot be written: look at the log");
        match self {
            Self::Json => serde_json::to_vec(view).map(Pieces::from).map_err(|_| broken()),
            Self::Html(words) => Ok(draw(words, view).into_string().into_bytes().into()),
            Self::Pdf(words, size) => {
                in_pieces(&draw(words, view).into_string(), size).map_err(|_| broken())
            }
        }
    }

    /// The bytes of a sheet as they go out.
    #[must_use]
    pub fn sent(self, bytes: Pieces) -> HttpResponse {
        let media_type = match self {
            Self::Json => "application/json",
            Self::Html(_) => "text/html; charset=utf-8",
            Self::Pdf(..) => "application/pdf",
        };
        HttpResponse::Ok().content_type(media_type).body(bytes)
    }

    /// The answer: the view itself, or the view drawn.
    ///
    /// # Errors
    /// [`Kind::Internal`] if the page cannot be put on paper.
    pub async fn respond<T: Serialize>(
        self,
        view: &T,
        draw: impl FnOnce(Words, &T) -> Markup,
    ) -> Result<HttpResponse, Problem> {
        match self {
            Self::Json => Ok(HttpResponse::Ok().json(view)),
            Self::Html(words) => Ok(html(draw(words, view))),
            Self::Pdf(words, size) => filed(draw(words, view), size).await,
        }
    }
}

/// The words of a sheet: in the language that its address names, else in the reader's.
///
/// # Errors
/// [`Kind::InvalidQuery`] names the languages that there are.
pub fn words(request: &HttpRequest) -> Result<Words, Problem> {
    let named = request.query_string().split('&').find_map(|part| part.strip_prefix("language="));
    let language = match named {
        None => language(request),
        Some(named) => Language::from_code(named).ok_or_else(|| {
            let codes = Language::ALL.map(Language::code).join(", ");
            Problem::new(Kind::InvalidQuery, format!("sheets speak {codes}: name one of them"))
        })?,
    };
    Ok(Words { language })
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
    HttpResponse::Ok().content_type(media_type).body(body)
}

/// A table for spreadsheets.
///
/// # Source
/// RFC 4180, section 3: the media type and its parameters.
#[must_use]
pub fn csv(table: String) -> HttpResponse {
    file("text/csv; charset=utf-8; header=present", table)
}

/// Which paper the house prints on.
fn size(request: &HttpRequest) -> Size {
    request.app_data::<web::Data<State>>().map_or(Size::A4, |state| state.paper)
}

/// A page as a file for a printer, laid out off the threads that wait for requests.
///
/// # Errors
/// [`Kind::Internal`] if the page cannot be put on paper.
pub async fn on_paper(request: &HttpRequest, page: Markup) -> Result<HttpResponse, Problem> {
    filed(page, size(request)).await
}

async fn filed(page: Markup, size: Size) -> Result<HttpResponse, Problem> {
    let page = page.into_string();
    let file = web::block(move || in_pieces(&page, size)).await;
    let file = file.map_err(|_| Problem::from(StoreError::Thread))??;
    Ok(HttpResponse::Ok().content_type("application/pdf").body(file))
}

/// A page on paper, for who sends or keeps it.
///
/// # Errors
/// [`Kind::Internal`] if the page cannot be put on paper.
pub fn in_pieces(page: &str, size: Size) -> Result<Pieces, Problem> {
    let mut file = Pieces::default();
    pdf(page, size, &mut file)?;
    Ok(file)
}

/// Writes a page on paper.
///
/// # Errors
/// [`Kind::Internal`] if the page cannot be put on paper.
pub fn pdf(page: &str, size: Size, to: &mut dyn Write) -> Result<(), Problem> {
    static LOOKS: LazyLock<Looks> = LazyLock::new(|| Looks::read(STYLE));
    paper::pdf(page, &LOOKS, size, to).map_err(|error| {
        tracing::error!(%error, "a page was not put on paper");
        Problem::new(Kind::Internal, "the sheet cannot be put on paper: print its HTML instead")
    })
}

/// A page.
#[must_use]
pub fn html(page: Markup) -> HttpResponse {
    HttpResponse::Ok().content_type("text/html; charset=utf-8").body(page.into_string())
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
            ("text/html", Some(Format::Html(Words::ENGLISH))),
            (
                "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8",
                Some(Format::Html(Words::ENGLISH)),
            ),
            ("text/html;q=0.5, application/json", Some(Format::Json)),
            ("text/*", Some(Format::Html(Words::ENGLISH))),
            ("application/json;q=0, text/html", Some(Format::Html(Words::ENGLISH))),
            ("application/pdf", Some(Format::Pdf(Words::ENGLISH, Size::Letter))),
            ("text/html, application/pdf", Some(Format::Html(Words::ENGLISH))),
            ("application/pdf, text/html;q=0.9", Some(Format::Pdf(Words::ENGLISH, Size::Letter))),
            ("text/csv", None),
        ] {
            assert_eq!(Format::of(accept, Words::ENGLISH, Size::Letter), format, "{accept}");
        }
    }
}
