//! What handlers are given: bodies, keys and preconditions. Every failure is a problem.

use crate::{
    digest,
    document::{Undecodable, decode, parse_date},
    problem::{Kind, Problem},
    service::{idempotency::RequestKey, reference::Precondition},
};
use actix_web::{
    FromRequest, HttpRequest,
    dev::Payload,
    http::header::{self, HeaderMap},
    rt,
    web::{self, Bytes},
};
use domain::temperature::Celsius;
use jiff::civil::Date;
use serde::de::DeserializeOwned;
use std::{future::Future, pin::Pin, time::Duration};

/// Largest body that is read.
pub const BODY_BYTES_MAX: usize = 2 * 1024 * 1024;
/// Largest bakery document: a thousand products with their formulas are a few megabytes.
pub const BAKERY_BYTES_MAX: usize = 32 * 1024 * 1024;
/// How long a body may take to arrive: who sends it drop by drop must not keep a place.
const BODY_TIME_MAX: Duration = Duration::from_secs(30);
/// Largest file of tables: a workbook is packed.
const FILE_BYTES_MAX: usize = 8 * 1024 * 1024;
/// Longest idempotency key.
const KEY_CHARS_MAX: usize = 255;

type Extracting<T> = Pin<Box<dyn Future<Output = Result<T, Problem>>>>;

/// A JSON body.
#[derive(Debug)]
pub struct Body<T>(pub T);

impl<T: DeserializeOwned + 'static> FromRequest for Body<T> {
    type Error = Problem;
    type Future = Extracting<Self>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let bytes = read(request, payload);
        Box::pin(async move { Ok(Self(decoded(&bytes.await?)?)) })
    }
}

/// A JSON body with the key that makes its retry safe.
#[derive(Debug)]
pub struct Posted<T> {
    /// The client's key with a digest of the request.
    pub key: Option<RequestKey>,
    /// The body.
    pub body: T,
}

impl<T: DeserializeOwned + 'static> FromRequest for Posted<T> {
    type Error = Problem;
    type Future = Extracting<Self>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let key = idempotency_key(request.headers());
        let target = format!("{} {}\n", request.method(), request.uri());
        let bytes = read(request, payload);
        Box::pin(async move {
            let key = key?;
            let bytes = bytes.await?;
            let fingerprint = digest::of([target.as_bytes(), &bytes[..]]);
            let body = decoded(&bytes)?;
            Ok(Self { key: key.map(|key| RequestKey { key, fingerprint }), body })
        })
    }
}

/// A file, and what it was declared as.
#[derive(Debug)]
pub struct File {
    media_type: String,
    bytes: Bytes,
}

impl File {
    /// The bytes, if they were declared as what they must be.
    ///
    /// # Errors
    /// [`Kind::NotDeclaredFile`]
    pub fn of(self, media_type: &str) -> Result<Bytes, Problem> {
        if self.media_type.eq_ignore_ascii_case(media_type) {
            return Ok(self.bytes);
        }
        let detail = format!("send the file with `Content-Type: {media_type}`");
        Err(Problem::new(Kind::NotDeclaredFile, detail))
    }
}

impl FromRequest for File {
    type Error = Problem;
    type Future = Extracting<Self>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let media_type = media_type(request.headers()).to_owned();
        let bytes = limited(request, payload, FILE_BYTES_MAX);
        Box::pin(async move { Ok(Self { media_type, bytes: bytes.await? }) })
    }
}

/// Reads a body that is declared as JSON.
fn read(
    request: &HttpRequest,
    payload: &mut Payload,
) -> impl Future<Output = Result<Bytes, Problem>> + use<> {
    let declared = media_type(request.headers()).eq_ignore_ascii_case("application/json");
    let whole_bakery = request.path() == "/v1/bakery";
    let limit = if whole_bakery { BAKERY_BYTES_MAX } else { BODY_BYTES_MAX };
    let bytes = limited(request, payload, limit);
    async move {
        if !declared {
            return Err(Problem::new(
                Kind::NotDeclaredJson,
                "the body must be JSON: send it with `Content-Type: application/json`",
            ));
        }
        bytes.await
    }
}

/// Reads a body that is not too large.
fn limited(
    request: &HttpRequest,
    payload: &mut Payload,
    limit: usize,
) -> impl Future<Output = Result<Bytes, Problem>> + use<> {
    let payload = web::Payload::from_request(request, payload);
    async move {
        let payload = payload.await.map_err(|_| cut_off())?;
        match in_time(payload.to_bytes_limited(limit)).await? {
            Ok(bytes) => bytes.map_err(|_| cut_off()),
            Err(_) => {
                let detail =
                    format!("the body is larger than {limit} bytes: send it in several requests");
                Err(Problem::new(Kind::BodyTooLarge, detail))
            }
        }
    }
}

/// What comes of reading a body, if it arrives in time.
///
/// # Errors
/// [`Kind::BodyTooSlow`]
pub(crate) async fn in_time<F: Future>(reading: F) -> Result<F::Output, Problem> {
    rt::time::timeout(BODY_TIME_MAX, reading).await.map_err(|_| {
        let detail = format!("the body took longer than {} s", BODY_TIME_MAX.as_secs());
        Problem::new(Kind::BodyTooSlow, detail)
    })
}

fn cut_off() -> Problem {
    Problem::new(Kind::NotJson, "the body did not arrive whole: send the request again")
}

/// What a body was declared as, without its parameters.
fn media_type(headers: &HeaderMap) -> &str {
    let declared = headers.get(header::CONTENT_TYPE).and_then(|value| value.to_str().ok());
    declared.and_then(|text| text.split(';').next()).unwrap_or_default().trim()
}

/// A body from its JSON.
///
/// # Errors
/// [`Kind::NotJson`] or [`Kind::InvalidBody`]
pub(crate) fn decoded<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Problem> {
    decode(bytes).map_err(|error| match error {
        Undecodable::NotJson(detail) => Problem::new(Kind::NotJson, detail),
        Undecodable::Shape(fault) => Problem::from_faults(Kind::InvalidBody, vec![fault]),
    })
}

/// The key of a request, with or without the quotes of a structured string.
///
/// # Source
/// The Idempotency-Key header draft; RFC 8941, section 3.3.3.
fn idempotency_key(headers: &HeaderMap) -> Result<Option<String>, Problem> {
    let Some(value) = headers.get("idempotency-key") else { return Ok(None) };
    let text = value.to_str().unwrap_or_default().trim();
    let key = text.strip_prefix('"').and_then(|text| text.strip_suffix('"')).unwrap_or(text);
    readable_key(key).map(Some)
}

/// A key of a request that can be kept.
///
/// # Errors
/// [`Kind::InvalidHeader`]
pub(crate) fn readable_key(key: &str) -> Result<String, Problem> {
    let readable = key.chars().all(|c| c.is_ascii_graphic() || c == ' ');
    if key.is_empty() || key.len() > KEY_CHARS_MAX || !readable {
        let detail =
            format!("Idempotency-Key must have 1 to {KEY_CHARS_MAX} plain letters or digits");
        return Err(Problem::new(Kind::InvalidHeader, detail));
    }
    Ok(key.to_owned())
}

/// Which state of a thing the client has read.
///
/// # Source
/// RFC 9110, section 13.1.1.
#[derive(Debug)]
pub struct IfMatch(pub Precondition);

impl FromRequest for IfMatch {
    type Error = Problem;
    type Future = std::future::Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        std::future::ready(precondition(request.headers()).map(Self))
    }
}

fn precondition(headers: &HeaderMap) -> Result<Precondition, Problem> {
    let Some(value) = headers.get(header::IF_MATCH) else { return Ok(Precondition::None) };
    let text = value.to_str().unwrap_or_default().trim();
    if text == "*" {
        return Ok(Precondition::Any);
    }
    let tags: Vec<String> = text.split(',').map(|tag| tag.trim().to_owned()).collect();
    let quoted = |tag: &String| {
        tag.len() > 2 && tag.trim_start_matches("W/").starts_with('"') && tag.ends_with('"')
    };
    if tags.iter().all(quoted) {
        return Ok(Precondition::Tags(tags));
    }
    Err(Problem::new(
        Kind::InvalidHeader,
        "If-Match must hold the ETag that you read, with its quotes, or `*`",
    ))
}

/// The id of the last event that a reader of a stream saw.
///
/// # Errors
/// [`Kind::InvalidHeader`]
pub fn last_event_id(headers: &HeaderMap) -> Result<Option<&str>, Problem> {
    let Some(value) = headers.get("last-event-id") else { return Ok(None) };
    let text = value.to_str().map_err(|_| {
        Problem::new(Kind::InvalidHeader, "Last-Event-ID must be the id of one of our events")
    })?;
    // A browser that saw no event yet sends none, or an empty one.
    Ok(Some(text).filter(|text| !text.is_empty()))
}

/// A local calendar date in the path or the query.
///
/// # Errors
/// [`Kind::InvalidPath`]
pub fn date(field: &str, text: &str) -> Result<Date, Problem> {
    parse_date(text).ok_or_else(|| {
        let text: String = text.chars().take(40).collect();
        let detail = format!(
            "{field} `{text}` is not a date: write year-month-day of a day that exists, \
             such as 2026-06-12"
        );
        Problem::new(Kind::InvalidPath, detail)
    })
}

/// A temperature in the query, in degrees Celsius.
///
/// # Errors
/// [`Kind::InvalidQuery`]
pub fn celsius(field: &str, text: Option<&str>) -> Result<Option<Celsius>, Problem> {
    let Some(text) = text else { return Ok(None) };
    Celsius::parse(text).map(Some).map_err(|error| {
        let text: String = text.chars().take(40).collect();
        let detail = format!("{field} `{text}` is not a temperature in degrees Celsius: {error}");
        Problem::new(Kind::InvalidQuery, detail)
    })
}

/// Makes failures of paths and queries problems.
pub fn configure(config: &mut web::ServiceConfig) {
    let path = web::PathConfig::default().error_handler(|error, _| {
        Problem::new(Kind::InvalidPath, format!("the address cannot be read: {error}")).into()
    });
    let query = web::QueryConfig::default().error_handler(|error, _| {
        let text = error.to_string();
        let words = text.strip_prefix("Query deserialize error: ").unwrap_or(&text);
        Problem::new(Kind::InvalidQuery, format!("the query cannot be read: {words}")).into()
    });
    config.app_data(path).app_data(query);
}
