//! All reference data as one document.

use crate::{
    answer,
    document::BakeryBody,
    extract::{Body, IfMatch},
    problem::Problem,
    records,
    service::{Refusal, bakery},
    state::State,
};
use actix_web::{HttpResponse, get, http::header, put, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(find_bakery).service(put_bakery);
}

/// Reads all reference data.
///
/// The document that was put, each list in the order in which it was put; the ETag
/// names its state.
#[utoipa::path(tag = "bakery", responses((status = 200, description = "The bakery.", body = BakeryBody)))]
#[get("/v1/bakery")]
async fn find_bakery(state: web::Data<State>) -> Result<HttpResponse, Problem> {
    let find = |state: &State| -> Result<_, Refusal> {
        let document = state.store.read(|tx| bakery::document(tx, &state.site))?;
        Ok((bakery::etag(&document)?, document))
    };
    let (etag, document) = answer::read(state, find).await?;
    Ok(HttpResponse::Ok().insert_header((header::ETAG, etag)).json(document))
}

/// Puts all reference data.
///
/// The whole document, or nothing of it: every fault is reported with its place. The
/// same document again changes nothing. Over a bakery that is there, If-Match must
/// hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")),
    request_body = BakeryBody,
    responses(
        (status = 200, description = "It is put.", body = BakeryBody),
        (status = 201, description = "It is the first.", body = BakeryBody)
    )
)]
#[put("/v1/bakery")]
async fn put_bakery(
    state: web::Data<State>,
    IfMatch(precondition): IfMatch,
    Body(document): Body<BakeryBody>,
) -> Result<HttpResponse, Problem> {
    let write = move |state: &State| -> Result<_, Refusal> {
        let put = bakery::put(state, &document, &precondition)?;
        Ok((put, bakery::etag(&document)?, document))
    };
    let (put, etag, document) = answer::read(state, write).await?;
    let mut response = HttpResponse::build(records::status(put));
    Ok(response.insert_header((header::ETAG, etag)).json(document))
}
