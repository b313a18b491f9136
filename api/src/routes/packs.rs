//! Packs: what can be ordered, and for how much.

use crate::{
    document::pack::PackBody,
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
    config.service(list_packs).service(find_pack).service(put_pack);
}

/// Lists packs.
///
/// What can be ordered, with content, price and price breaks. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "bakery",
    params(PageQuery),
    responses((status = 200, description = "A page of packs.", body = Page<PackBody>))
)]
#[get("/v1/packs")]
async fn list_packs(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<PackBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one pack.
///
/// The ETag names its state; send it as If-Match to put the record.
#[utoipa::path(
    tag = "bakery",
    params(("code" = String, Path, description = "Its code.")),
    responses((status = 200, description = "The pack.", body = PackBody))
)]
#[get("/v1/packs/{code}")]
async fn find_pack(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    records::find::<PackBody>(state, code.into_inner()).await
}

/// Puts one pack.
///
/// The whole bakery is checked with it, and every fault is reported. Over a pack
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = PackBody,
    responses(
        (status = 200, description = "It is put.", body = PackBody),
        (status = 201, description = "It is new.", body = PackBody)
    )
)]
#[put("/v1/packs/{code}")]
async fn put_pack(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<PackBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
