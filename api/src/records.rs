//! The three calls that every list of reference data takes: list, find, put.

use crate::{
    answer,
    document::Record,
    extract::{self, Body, IfMatch},
    page::{self, Page, PageQuery},
    problem::{Kind, Problem},
    service::{
        bakery::Put,
        reference::{self, Held},
    },
    state::State,
};
use actix_web::{
    HttpResponse,
    http::{StatusCode, header},
    web,
};
use serde::Deserialize;
use utoipa::IntoParams;

/// For which date a dated record is wanted.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct OnQuery {
    /// A local date: the version that holds on it; the newest version if absent.
    #[param(example = "2026-06-12")]
    pub on: Option<String>,
}

/// A page of a list.
///
/// # Errors
/// [`Kind::InvalidQuery`]
pub async fn list<R: Record>(
    state: web::Data<State>,
    query: PageQuery,
) -> Result<Page<R>, Problem> {
    let limit = page::limit(query.limit)?;
    let after = match page::after(query.cursor.as_deref())? {
        None => -1,
        Some(text) => text.parse().map_err(|_| {
            Problem::new(Kind::InvalidQuery, "cursor is none of ours: send the `next` of a page")
        })?,
    };
    let rows = answer::read(state, move |state| reference::list::<R>(state, after, limit)).await?;
    let Page { rows, next } = Page::new(rows, limit, |held| held.position.to_string());
    let rows = rows.into_iter().map(|held| held.record).collect();
    Ok(Page { rows, next })
}

/// The newest version of a record.
///
/// # Errors
/// [`Kind::NotFound`]
pub async fn find<R: Record>(
    state: web::Data<State>,
    code: String,
) -> Result<HttpResponse, Problem> {
    find_on::<R>(state, code, OnQuery { on: None }).await
}

/// The version of a record that holds on a date.
///
/// # Errors
/// [`Kind::NotFound`]
pub async fn find_on<R: Record>(
    state: web::Data<State>,
    code: String,
    query: OnQuery,
) -> Result<HttpResponse, Problem> {
    let on = query.on.map(|text| extract::date("on", &text)).transpose()?;
    let find = move |state: &State| reference::find::<R>(state, &code, on);
    let Held { etag, record, .. } = answer::read(state, find).await?;
    Ok(HttpResponse::Ok().insert_header((header::ETAG, etag)).json(record))
}

/// Puts a record; it answers with the record as it is kept.
///
/// # Errors
/// The faults of the body, of the bakery with it, or of the precondition.
pub async fn put<R: Record>(
    state: web::Data<State>,
    code: String,
    IfMatch(precondition): IfMatch,
    Body(record): Body<R>,
) -> Result<HttpResponse, Problem> {
    let write = move |state: &State| {
        let (put, etag) = reference::put(state, &code, &record, &precondition)?;
        Ok((put, etag, record))
    };
    let (put, etag, record) = answer::read(state, write).await?;
    Ok(HttpResponse::build(status(put)).insert_header((header::ETAG, etag)).json(record))
}

/// The status that says what a put did.
#[must_use]
pub const fn status(put: Put) -> StatusCode {
    match put {
        Put::Created => StatusCode::CREATED,
        Put::Changed | Put::Unchanged => StatusCode::OK,
    }
}
