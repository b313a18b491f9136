//! Standing orders: weekday patterns of order lines, with pauses and exceptions.

use crate::{
    document::standing_order::StandingOrderBody,
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
    config.service(list_standing_orders).service(find_standing_order).service(put_standing_order);
}

/// Lists standing orders.
///
/// Each becomes the orders of its dates, where no posted order says that it takes its
/// place. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "orders",
    params(PageQuery),
    responses((status = 200, description = "A page of standing orders.", body = Page<StandingOrderBody>))
)]
#[get("/v1/standing-orders")]
async fn list_standing_orders(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<StandingOrderBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one standing order.
///
/// The ETag names its state; send it as If-Match to put the record.
#[utoipa::path(
    tag = "orders",
    params(("code" = String, Path, description = "Its code.")),
    responses((status = 200, description = "The standing order.", body = StandingOrderBody))
)]
#[get("/v1/standing-orders/{code}")]
async fn find_standing_order(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    records::find::<StandingOrderBody>(state, code.into_inner()).await
}

/// Puts one standing order.
///
/// The whole bakery is checked with it, and every fault is reported. Over a standing order
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "orders",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = StandingOrderBody,
    responses(
        (status = 200, description = "It is put.", body = StandingOrderBody),
        (status = 201, description = "It is new.", body = StandingOrderBody)
    )
)]
#[put("/v1/standing-orders/{code}")]
async fn put_standing_order(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<StandingOrderBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
