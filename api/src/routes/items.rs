//! Items: anything with stock.

use crate::{
    document::item::ItemBody,
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
    config.service(list_items).service(find_item).service(put_item);
}

/// Lists items.
///
/// Everything with stock: bought, made, packaging. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "bakery",
    params(PageQuery),
    responses((status = 200, description = "A page of items.", body = Page<ItemBody>))
)]
#[get("/v1/items")]
async fn list_items(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<ItemBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one item.
///
/// The ETag names its state; send it as If-Match to put the record.
#[utoipa::path(
    tag = "bakery",
    params(("code" = String, Path, description = "Its code.")),
    responses((status = 200, description = "The item.", body = ItemBody))
)]
#[get("/v1/items/{code}")]
async fn find_item(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    records::find::<ItemBody>(state, code.into_inner()).await
}

/// Puts one item.
///
/// The whole bakery is checked with it, and every fault is reported. Over an item
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = ItemBody,
    responses(
        (status = 200, description = "It is put.", body = ItemBody),
        (status = 201, description = "It is new.", body = ItemBody)
    )
)]
#[put("/v1/items/{code}")]
async fn put_item(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<ItemBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
