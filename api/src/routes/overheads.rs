//! Overheads: dusting flour and the like.

use crate::{
    document::supplier::OverheadBody,
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
    config.service(list_overheads).service(find_overhead).service(put_overhead);
}

/// Lists overheads.
///
/// What is used beside formulas: dusting flour and the like. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "bakery",
    params(PageQuery),
    responses((status = 200, description = "A page of overheads.", body = Page<OverheadBody>))
)]
#[get("/v1/overheads")]
async fn list_overheads(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<OverheadBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one overhead.
///
/// The ETag names its state; send it as If-Match to put the record.
#[utoipa::path(
    tag = "bakery",
    params(("code" = String, Path, description = "Its code.")),
    responses((status = 200, description = "The overhead.", body = OverheadBody))
)]
#[get("/v1/overheads/{code}")]
async fn find_overhead(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    records::find::<OverheadBody>(state, code.into_inner()).await
}

/// Puts one overhead.
///
/// The whole bakery is checked with it, and every fault is reported. Over an overhead
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = OverheadBody,
    responses(
        (status = 200, description = "It is put.", body = OverheadBody),
        (status = 201, description = "It is new.", body = OverheadBody)
    )
)]
#[put("/v1/overheads/{code}")]
async fn put_overhead(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<OverheadBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
