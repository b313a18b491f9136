//! Products: what is sold.

use crate::{
    document::product::ProductBody,
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
    config.service(list_products).service(find_product).service(put_product);
}

/// Lists products.
///
/// What is sold, with its make-up per piece. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "bakery",
    params(PageQuery),
    responses((status = 200, description = "A page of products.", body = Page<ProductBody>))
)]
#[get("/v1/products")]
async fn list_products(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<ProductBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one product.
///
/// The ETag names its state; send it as If-Match to put the record.
#[utoipa::path(
    tag = "bakery",
    params(("code" = String, Path, description = "Its code.")),
    responses((status = 200, description = "The product.", body = ProductBody))
)]
#[get("/v1/products/{code}")]
async fn find_product(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    records::find::<ProductBody>(state, code.into_inner()).await
}

/// Puts one product.
///
/// The whole bakery is checked with it, and every fault is reported. Over a product
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = ProductBody,
    responses(
        (status = 200, description = "It is put.", body = ProductBody),
        (status = 201, description = "It is new.", body = ProductBody)
    )
)]
#[put("/v1/products/{code}")]
async fn put_product(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<ProductBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
