//! Runs services off the request threads and sends what they give.

use crate::{
    caller::Caller,
    extract::Posted,
    problem::{PROBLEM, Problem},
    service::{
        Refusal,
        idempotency::{self, Answer},
    },
    state::State,
    store::{StoreError, Tx},
};
use actix_web::{
    HttpResponse, ResponseError,
    http::{StatusCode, header},
    web,
};

/// Runs a read, or a write that is safe to repeat by its nature.
///
/// # Errors
/// The refusal of `body` as a problem.
pub async fn read<T: Send + 'static>(
    state: web::Data<State>,
    body: impl FnOnce(&State) -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Problem> {
    let caller = Caller::current();
    let span = tracing::Span::current();
    let work = move || span.in_scope(|| Caller::carry_on(caller, || body(&state)));
    let outcome = web::block(work).await;
    outcome.map_err(|_| Problem::from(StoreError::Thread))?.map_err(Problem::from)
}

/// Runs a statement that reads a row: at once where nothing has to be waited for.
///
/// # Errors
/// The refusal of `body` as a problem.
pub async fn one_row<T: Send + 'static>(
    state: web::Data<State>,
    body: impl Fn(&State, &mut Tx) -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Problem> {
    match state.store.read_at_once(|tx| body(&state, tx)) {
        Some(outcome) => Ok(outcome?),
        None => read(state, move |state| state.store.read(|tx| body(state, tx))).await,
    }
}

/// Runs a post in one write transaction, once for each idempotency key.
///
/// # Errors
/// The refusal of `body` as a problem.
pub async fn post<B: Send + 'static>(
    state: web::Data<State>,
    posted: Posted<B>,
    body: impl Fn(&State, &mut Tx, &B) -> Result<Answer, Refusal> + Send + 'static,
) -> Result<HttpResponse, Problem> {
    let (answer, replayed) = once(state, posted, body).await?;
    Ok(sent(answer, replayed))
}

/// The same before it is sent: the answer, and whether it was given before.
///
/// # Errors
/// The refusal of `body` as a problem, if it was posted without a key.
pub async fn once<B: Send + 'static>(
    state: web::Data<State>,
    posted: Posted<B>,
    body: impl Fn(&State, &mut Tx, &B) -> Result<Answer, Refusal> + Send + 'static,
) -> Result<(Answer, bool), Problem> {
    let work = move |state: &State| {
        let Posted { key, body: sent } = posted;
        idempotency::once(state, key.as_ref(), refused, |tx| body(state, tx, &sent))
    };
    let (answer, replayed) = read(state.clone(), work).await?;
    state.metrics.settled(&answer.outcomes);
    Ok((answer, replayed))
}

/// A refusal in the bytes in which it is kept.
fn refused(refusal: Refusal) -> Answer {
    let problem = Problem::from(refusal);
    let body = serde_json::to_string(&problem.view()).unwrap_or_default();
    Answer { status: problem.status_code().as_u16(), etag: None, body, outcomes: Vec::new() }
}

/// An answer as it goes out.
fn sent(answer: Answer, replayed: bool) -> HttpResponse {
    let status = StatusCode::from_u16(answer.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let mut response = HttpResponse::build(status);
    let is_problem = status.is_client_error() || status.is_server_error();
    response.content_type(if is_problem { PROBLEM } else { "application/json" });
    if let Some(etag) = answer.etag {
        response.insert_header((header::ETAG, etag));
    }
    if replayed {
        response.insert_header(("Idempotency-Replayed", "true"));
    }
    response.body(answer.body)
}
