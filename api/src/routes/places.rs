//! Places: where things are kept.

use crate::{
    document::equipment::PlaceBody,
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
    config.service(list_places).service(find_place).service(put_place);
}

/// Lists places.
///
/// Where things are kept. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "bakery",
    params(PageQuery),
    responses((status = 200, description = "A page of places.", body = Page<PlaceBody>))
)]
#[get("/v1/places")]
async fn list_places(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<PlaceBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one place.
///
/// The ETag names its state; send it as If-Match to put the record.
#[utoipa::path(
    tag = "bakery",
    params(("code" = String, Path, description = "Its code.")),
    responses((status = 200, description = "The place.", body = PlaceBody))
)]
#[get("/v1/places/{code}")]
async fn find_place(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    records::find::<PlaceBody>(state, code.into_inner()).await
}

/// Puts one place.
///
/// The whole bakery is checked with it, and every fault is reported. Over a place
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = PlaceBody,
    responses(
        (status = 200, description = "It is put.", body = PlaceBody),
        (status = 201, description = "It is new.", body = PlaceBody)
    )
)]
#[put("/v1/places/{code}")]
async fn put_place(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<PlaceBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
