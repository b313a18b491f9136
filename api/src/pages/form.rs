//! Forms: what a browser posts becomes the body that the API takes, and its faults come back
//! to the fields that they name.
//!
//! A field is named by its place in the body, as a JSON Pointer without its first slash, such
//! as `lines/0/quantity`. An ending after a colon says what the field is:
//!
//! | name | in the body |
//! |---|---|
//! | `customer` | a text; left out if it is empty |
//! | `who:needed` | a text, sent even if it is empty; [`super::field`] writes this ending |
//! | `lines/0/quantity:number` | a number; a decimal comma is a point |
//! | `amount/amount:decimal` | a text of digits; a decimal comma is a point |
//! | `all:flag` | true if the box is ticked; left out if not |
//! | `lines/0/line_ref:with` | a text, kept only if a field beside it, or below, is filled |
//! | `lines/0/line:with-number` | the same for a number |
//! | `_key`, `_…` | not in the body: for the page itself |
//!
//! Rows of a list in which nothing is filled are left out, and the others move up.

mod body;
mod draft;

pub(super) use body::bare;
pub use draft::Draft;

use crate::{
    answer, digest,
    document::Fault,
    extract::{self, Posted},
    problem::{Kind, Problem},
    service::{Refusal, idempotency::Answer, idempotency::RequestKey},
    state::State,
    store::Tx,
};
use actix_web::{Error, FromRequest, HttpRequest, dev::Payload, error::UrlencodedError, web};
use serde::de::DeserializeOwned;
use std::{future::Future, pin::Pin};

/// The field that holds the key under which the form is posted at most once.
pub const KEY: &str = "_key";
/// The field that says which of a page's forms was posted.
pub const PART: &str = "_part";
/// Largest form that is read.
const FORM_BYTES_MAX: usize = 512 * 1024;
/// Most fields of a form: the longest of ours has a few for each of two thousand rows.
const FIELDS_MAX: usize = 20_000;
/// Longest name of a field.
const NAME_BYTES_MAX: usize = 200;

/// A form as a browser posted it.
#[derive(Debug, Clone)]
pub struct Form {
    target: String,
    fields: Vec<(String, String)>,
}

impl FromRequest for Form {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let target = format!("{} {}\n", request.method(), request.uri());
        let read = web::Form::<Vec<(String, String)>>::from_request(request, payload);
        Box::pin(async move {
            let fields = extract::in_time(read).await?.map_err(|error| unreadable(&error))?;
            let fields = fields.into_inner();
            bounded(&fields)?;
            Ok(Self { target, fields })
        })
    }
}

/// Each field takes its steps, and each step of its name is a value inside another.
fn bounded(fields: &[(String, String)]) -> Result<(), Problem> {
    let short = |(name, _): &(String, String)| name.len() <= NAME_BYTES_MAX;
    if fields.len() <= FIELDS_MAX && fields.iter().all(short) {
        return Ok(());
    }
    let detail = format!(
        "a form has at most {FIELDS_MAX} fields with names of at most {NAME_BYTES_MAX} bytes"
    );
    Err(Problem::new(Kind::BodyTooLarge, detail))
}

fn unreadable(error: &Error) -> Problem {
    let kind = match error.as_error() {
        Some(UrlencodedError::Overflow { .. }) => Kind::BodyTooLarge,
        _ => Kind::InvalidBody,
    };
    Problem::new(kind, format!("the form cannot be read: {error}"))
}

impl Form {
    /// What a field holds, by its name without ending; nothing if it is not there.
    #[must_use]
    pub fn text(&self, name: &str) -> &str {
        let found = self.fields.iter().find(|(own, _)| bare(own) == name);
        found.map_or("", |(_, value)| value.trim())
    }

    /// The body that the fields make.
    ///
    /// # Errors
    /// [`Kind::InvalidBody`] with every field that does not fit.
    pub fn body<B: DeserializeOwned>(&self) -> Result<B, Problem> {
        self.read(&self.json()?)
    }

    /// Posts the body once for the form's key, as the API does; the answer is a success.
    ///
    /// # Errors
    /// What the service says no to, its faults named by field.
    pub async fn post<B: DeserializeOwned + Send + 'static>(
        &self,
        state: &web::Data<State>,
        work: impl Fn(&State, &mut Tx, &B) -> Result<Answer, Refusal> + Send + 'static,
    ) -> Result<Answer, Problem> {
        let key = extract::readable_key(self.text(KEY))?;
        let json = self.json()?;
        let fingerprint = digest::of([self.target.as_bytes(), json.as_bytes()]);
        let key = Some(RequestKey { key, fingerprint });
        let posted = Posted { key, body: self.read(&json)? };
        let (answer, _) = answer::once(state.clone(), posted, work).await?;
        if answer.status < 400 {
            return Ok(answer);
        }
        let problem = Problem::read(&answer.body);
        let problem = problem.unwrap_or_else(|| Problem::new(Kind::Internal, "no answer was kept"));
        Err(self.placed(problem))
    }

    fn read<B: DeserializeOwned>(&self, json: &str) -> Result<B, Problem> {
        extract::decoded(json.as_bytes()).map_err(|problem| self.placed(problem))
    }

    fn json(&self) -> Result<String, Problem> {
        let (value, _) = body::of(&self.fields);
        serde_json::to_string(&value).map_err(|_| Problem::new(Kind::Internal, "no JSON came out"))
    }

    /// The same problem with places that are names of fields.
    #[must_use]
    pub fn placed(&self, mut problem: Problem) -> Problem {
        let (_, names) = body::of(&self.fields);
        for Fault { pointer, detail, .. } in &mut problem.errors {
            let missing =
                detail.strip_prefix("missing field `").and_then(|rest| rest.split('`').next());
            let place = match missing {
                Some(field) => format!("{pointer}/{field}"),
                None => pointer.clone(),
            };
            let place = place.trim_start_matches('/');
            // A fault of a whole thing stands at the first field in it.
            let inside = format!("{place}/");
            let first = || names.iter().find(|(at, _)| at.starts_with(&inside));
            let name = names.get(place).or_else(|| first().map(|(_, name)| name));
            *pointer = name.cloned().unwrap_or_else(|| place.to_owned());
        }
        problem
    }
}

/// Bounds what is read of a form.
pub fn configure(config: &mut web::ServiceConfig) {
    config.app_data(web::FormConfig::default().limit(FORM_BYTES_MAX));
}
