//! Ovens.

use crate::{
    document::equipment::OvenBody,
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
    config.service(list_ovens).service(find_oven).service(put_oven);
}

/// Lists ovens.
///
/// Ovens, with their trays. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "bakery",
    params(PageQuery),
    responses((status = 200, description = "A page of ovens.", body = Page<OvenBody>))
)]
#[get("/v1/ovens")]
async fn list_ovens(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<OvenBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one oven.
///
/// The ETag names its state; send it as If-Match to put the record.
#[utoipa::path(
    tag = "bakery",
    params(("code" = String, Path, description = "Its code.")),
    responses((status = 200, description = "The oven.", body = OvenBody))
)]
#[get("/v1/ovens/{code}")]
async fn find_oven(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    records::find::<OvenBody>(state, code.into_inner()).await
}

/// Puts one oven.
///
/// The whole bakery is checked with it, and every fault is reported. Over an oven
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = OvenBody,
    responses(
        (status = 200, description = "It is put.", body = OvenBody),
        (status = 201, description = "It is new.", body = OvenBody)
    )
)]
#[put("/v1/ovens/{code}")]
async fn put_oven(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<OvenBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
