//! Counter par: what counters open with by weekday and event, though nobody ordered it.

use crate::{
    document::standing_order::ParBody,
    extract::{Body, IfMatch},
    page::{Page, PageQuery},
    problem::Problem,
    records,
    state::State,
};
use actix_web::{HttpResponse, get, put, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_pars).service(find_par).service(put_par);
}

/// Lists counter pars.
///
/// What counters open with: made beside orders, less what is ordered out of it and what
/// finished pieces cover. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "orders",
    params(PageQuery),
    responses((status = 200, description = "A page of counter pars.", body = Page<ParBody>))
)]
#[get("/v1/pars")]
async fn list_pars(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<ParBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one counter par.
///
/// The ETag names its state; send it as If-Match to put the record.
#[utoipa::path(
    tag = "orders",
    params(("code" = String, Path, description = "Its code.")),
    responses((status = 200, description = "The counter par.", body = ParBody))
)]
#[get("/v1/pars/{code}")]
async fn find_par(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    records::find::<ParBody>(state, code.into_inner()).await
}

/// Puts one counter par.
///
/// The whole bakery is checked with it, and every fault is reported. Over a counter par
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "orders",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = ParBody,
    responses(
        (status = 200, description = "It is put.", body = ParBody),
        (status = 201, description = "It is new.", body = ParBody)
    )
)]
#[put("/v1/pars/{code}")]
async fn put_par(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<ParBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
