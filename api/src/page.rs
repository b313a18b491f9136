//! Lists in pages, by an opaque cursor.

mod table;

use crate::{
    digest,
    problem::{Kind, Problem},
    sheets::{self, Offer},
};
use actix_web::{HttpRequest, HttpResponse, Responder, ResponseError as _, http::header};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

/// Rows of a page if the client does not say.
const LIMIT_USUAL: i64 = 100;
/// Most rows of a page.
const LIMIT_MAX: i64 = 1000;

/// Which page of a list.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct PageQuery {
    /// Most rows of the page: 1 to 1000, 100 if absent.
    #[param(example = 100)]
    pub limit: Option<i64>,
    /// The `next` of the page before; absent for the first page.
    pub cursor: Option<String>,
}

/// One page of a list.
#[derive(Debug, Serialize, ToSchema)]
pub struct Page<T> {
    /// The rows, in the order of the list.
    pub rows: Vec<T>,
    /// The cursor of the next page; null at the end.
    pub next: Option<String>,
}

impl<T> Page<T> {
    /// A page of at most `limit` rows; `key` names a row's place in the list.
    pub fn new(rows: Vec<T>, limit: i64, key: impl FnOnce(&T) -> String) -> Self {
        let next = last_of_full(&rows, limit).map(|last| cursor(&key(last)));
        Self { rows, next }
    }
}

/// The last row where there are as many as were asked for: more may follow it.
pub fn last_of_full<T>(rows: &[T], limit: i64) -> Option<&T> {
    let full = usize::try_from(limit).is_ok_and(|limit| rows.len() >= limit);
    rows.last().filter(|_| full)
}

impl<T: Serialize> Responder for Page<T> {
    type Body = actix_web::body::BoxBody;

    /// JSON, or a table for a spreadsheet whose next page stands in a `Link` header.
    fn respond_to(self, request: &HttpRequest) -> HttpResponse {
        const OFFERS: [Offer; 2] = [Offer("application", "json"), Offer("text", "csv")];
        match sheets::preferred(request, &OFFERS) {
            Err(problem) => return problem.error_response(),
            Ok(0) => return HttpResponse::Ok().json(self),
            Ok(_) => {}
        }
        let rows = self.rows.iter().map(serde_json::to_value).collect::<Result<Vec<_>, _>>();
        let Ok(rows) = rows else {
            return Problem::new(Kind::Internal, "the rows could not be written").error_response();
        };
        let mut response = sheets::csv(table::table(&rows));
        let next = self.next.map(|cursor| next(request, &cursor));
        if let Some(Ok(link)) = next.map(|link| header::HeaderValue::from_str(&link)) {
            response.headers_mut().insert(header::LINK, link);
        }
        response
    }
}

/// A link to the next page of the same list.
///
/// # Source
/// RFC 8288.
fn next(request: &HttpRequest, cursor: &str) -> String {
    let asked = request.query_string().split('&');
    let others = asked.filter(|part| !part.is_empty() && !part.starts_with("cursor="));
    let query: Vec<String> =
        others.map(str::to_owned).chain([format!("cursor={cursor}")]).collect();
    format!("<{}?{}>; rel=\"next\"", request.path(), query.join("&"))
}

/// How many rows a page may have.
///
/// # Errors
/// [`Kind::InvalidQuery`]
pub fn limit(asked: Option<i64>) -> Result<i64, Problem> {
    let limit = asked.unwrap_or(LIMIT_USUAL);
    if (1..=LIMIT_MAX).contains(&limit) {
        return Ok(limit);
    }
    let detail = format!("limit is {limit}: ask for 1 to {LIMIT_MAX} rows");
    Err(Problem::new(Kind::InvalidQuery, detail))
}

/// The key of the last row of the page before.
///
/// # Errors
/// [`Kind::InvalidQuery`]
pub fn after(cursor: Option<&str>) -> Result<Option<String>, Problem> {
    let Some(cursor) = cursor else { return Ok(None) };
    let byte = |at: usize| u8::from_str_radix(cursor.get(at..at + 2)?, 16).ok();
    let bytes: Option<Vec<u8>> = (0..cursor.len()).step_by(2).map(byte).collect();
    let key = bytes.and_then(|bytes| String::from_utf8(bytes).ok());
    key.map(Some).ok_or_else(|| {
        Problem::new(Kind::InvalidQuery, "cursor is none of ours: send the `next` of a page")
    })
}

/// A cursor says nothing to its reader, so that nobody builds one by hand.
#[must_use]
pub fn cursor(key: &str) -> String {
    digest::hex(key.as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_full_page_leads_to_the_next_and_a_short_one_ends() {
        let page = Page::new(vec!["a", "ü"], 2, |row| (*row).to_owned());
        assert_eq!(after(page.next.as_deref()), Ok(Some("ü".to_owned())));
        assert_eq!(Page::new(vec!["a"], 2, |row| (*row).to_owned()).next, None);
        for bad in ["x", "f", "ff", "é"] {
            assert!(after(Some(bad)).is_err(), "{bad}");
        }
    }
}
