//! Regulations that labels and statements follow.

use crate::{
    answer,
    document::regulation::RegulationBody,
    extract::{Body, IfMatch},
    page::Page,
    problem::Problem,
    records,
    service::{plan, reference},
    state::State,
};
use actix_web::{HttpResponse, get, http::header, put, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_regulations).service(find_regulation).service(put_regulation);
}

/// Lists the regulations that this bakery knows.
///
/// Those that every bakery knows and its own, which stand in the bakery document. On one
/// page.
#[utoipa::path(
    tag = "statements",
    responses((status = 200, description = "The regulations.", body = Page<RegulationBody>))
)]
#[get("/v1/regulations")]
async fn list_regulations(state: web::Data<State>) -> Result<Page<RegulationBody>, Problem> {
    let rows = answer::read(state, |state| {
        let morning = plan::load_reference(state)?;
        let all = morning.bakery.lists().regulations.iter();
        Ok(all.map(RegulationBody::from).collect::<Vec<_>>())
    });
    Ok(Page { rows: rows.await?, next: None })
}

/// Reads one regulation.
///
/// The bakery's own, or else one that every bakery knows. The ETag names the state of its own;
/// one that every bakery knows has none until an own one is put in its place.
#[utoipa::path(
    tag = "statements",
    params(("code" = String, Path, description = "Its code.", example = "eu")),
    responses((status = 200, description = "The regulation.", body = RegulationBody))
)]
#[get("/v1/regulations/{code}")]
async fn find_regulation(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let (etag, body) =
        answer::read(state, move |state| reference::regulation(state, &code)).await?;
    let mut answer = HttpResponse::Ok();
    if let Some(etag) = etag {
        answer.insert_header((header::ETAG, etag));
    }
    Ok(answer.json(body))
}

/// Puts one regulation.
///
/// A country's list of allergens and style of labels, or another one in the place of a known
/// one. The whole bakery is checked with it, and every fault is reported. Over an own one that
/// is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(
        ("code" = String, Path, description = "Its code.", example = "eu"),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = RegulationBody,
    responses(
        (status = 200, description = "It is put.", body = RegulationBody),
        (status = 201, description = "It is new.", body = RegulationBody)
    )
)]
#[put("/v1/regulations/{code}")]
async fn put_regulation(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<RegulationBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
