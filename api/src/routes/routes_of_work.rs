//! Routes of work: the steps that lead to a drop.

use crate::{
    document::route::RouteBody,
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
    config.service(list_routes).service(find_route).service(put_route);
}

/// Lists routes.
///
/// The steps that lead to a drop, in order of work. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "bakery",
    params(PageQuery),
    responses((status = 200, description = "A page of routes.", body = Page<RouteBody>))
)]
#[get("/v1/routes")]
async fn list_routes(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<RouteBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one route.
///
/// The ETag names its state; send it as If-Match to put the record.
#[utoipa::path(
    tag = "bakery",
    params(("code" = String, Path, description = "Its code.")),
    responses((status = 200, description = "The route.", body = RouteBody))
)]
#[get("/v1/routes/{code}")]
async fn find_route(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    records::find::<RouteBody>(state, code.into_inner()).await
}

/// Puts one route.
///
/// The whole bakery is checked with it, and every fault is reported. Over a route
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = RouteBody,
    responses(
        (status = 200, description = "It is put.", body = RouteBody),
        (status = 201, description = "It is new.", body = RouteBody)
    )
)]
#[put("/v1/routes/{code}")]
async fn put_route(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<RouteBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
