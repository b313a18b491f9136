//! Scales that hands use.

use crate::{
    document::equipment::ScaleBody,
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
    config.service(list_scales).service(find_scale).service(put_scale);
}

/// Lists scales.
///
/// Scales, with capacity and division. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "bakery",
    params(PageQuery),
    responses((status = 200, description = "A page of scales.", body = Page<ScaleBody>))
)]
#[get("/v1/scales")]
async fn list_scales(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<ScaleBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one scale.
///
/// The ETag names its state; send it as If-Match to put the record.
#[utoipa::path(
    tag = "bakery",
    params(("code" = String, Path, description = "Its code.")),
    responses((status = 200, description = "The scale.", body = ScaleBody))
)]
#[get("/v1/scales/{code}")]
async fn find_scale(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    records::find::<ScaleBody>(state, code.into_inner()).await
}

/// Puts one scale.
///
/// The whole bakery is checked with it, and every fault is reported. Over a scale
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = ScaleBody,
    responses(
        (status = 200, description = "It is put.", body = ScaleBody),
        (status = 201, description = "It is new.", body = ScaleBody)
    )
)]
#[put("/v1/scales/{code}")]
async fn put_scale(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<ScaleBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
