//! Safe retries: a request that was answered once is answered the same again.

use super::{Refusal, audit};
use crate::{
    state::State,
    store::{
        StoreError, Tx, attempt,
        idempotency::{self, AnswerRow},
    },
};
use serde::Serialize;

/// The name that a client gave to a request, and a digest of the request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RequestKey {
    /// The client's key.
    pub key: String,
    /// A digest of method, path and body.
    pub fingerprint: String,
}

/// An answer in the bytes that are sent and kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// HTTP status.
    pub status: u16,
    /// Entity tag, if there is one.
    pub etag: Option<String>,
    /// JSON; a problem document if the status is 400 or more.
    pub body: String,
    /// What became of the orders in it, to be counted once it is committed; none of a replay.
    pub outcomes: Vec<&'static str>,
}

impl Answer {
    /// An answer that shows `view`.
    ///
    /// # Errors
    /// [`StoreError::Corrupt`] if the view is no JSON, such as a map with keys that are no texts.
    pub fn json(status: u16, view: &impl Serialize) -> Result<Self, Refusal> {
        let body = serde_json::to_string(view).map_err(|_| StoreError::Corrupt("answer"))?;
        Ok(Self { status, etag: None, body, outcomes: Vec::new() })
    }
}

/// Runs `body` in one write transaction, at most once for each key.
///
/// The second value says whether the answer was given before. A refusal is an answer
/// too and is kept as `render` shows it; a failure of the store is none, so that a
/// retry of it has a chance.
///
/// # Errors
/// What `body` says without a key; `key-reused` if the key named another request.
pub fn once(
    state: &State,
    key: Option<&RequestKey>,
    render: impl Fn(Refusal) -> Answer,
    body: impl Fn(&mut Tx) -> Result<Answer, Refusal>,
) -> Result<(Answer, bool), Refusal> {
    state.store.write(|tx| {
        let Some(RequestKey { key, fingerprint }) = key else {
            let answer = body(tx)?;
            audit::note(tx, state, answer.status)?;
            return Ok((answer, false));
        };
        if let Some(row) = idempotency::find(tx, &state.site, key)? {
            return replay(row, fingerprint);
        }
        let answer = match attempt(tx, &body)? {
            Ok(answer) => answer,
            Err(refusal @ Refusal::Store(_)) => return Err(refusal),
            Err(refusal) => render(refusal),
        };
        let row = AnswerRow {
            site: state.site.clone(),
            idempotency_key: key.clone(),
            fingerprint: fingerprint.clone(),
            status: i32::from(answer.status),
            etag: answer.etag.clone(),
            body: answer.body.clone(),
            created_at: state.now().to_string(),
        };
        idempotency::insert(tx, &row)?;
        audit::note(tx, state, answer.status)?;
        Ok((answer, false))
    })
}

fn replay(row: AnswerRow, fingerprint: &str) -> Result<(Answer, bool), Refusal> {
    if row.fingerprint != fingerprint {
        let detail = format!(
            "the key `{}` was used with another request: give each request a key of its own",
            row.idempotency_key
        );
        return Err(Refusal::stated("key-reused", detail));
    }
    let status = u16::try_from(row.status).map_err(|_| StoreError::Corrupt("status"))?;
    Ok((Answer { status, etag: row.etag, body: row.body, outcomes: Vec::new() }, true))
}
