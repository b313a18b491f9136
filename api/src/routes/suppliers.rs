//! Suppliers: who sells to us, and when they deliver.

use crate::{
    document::supplier::SupplierBody,
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
    config.service(list_suppliers).service(find_supplier).service(put_supplier);
}

/// Lists suppliers.
///
/// Who sells to us, with cutoffs, deliveries and minimum order. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "bakery",
    params(PageQuery),
    responses((status = 200, description = "A page of suppliers.", body = Page<SupplierBody>))
)]
#[get("/v1/suppliers")]
async fn list_suppliers(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<SupplierBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one supplier.
///
/// The ETag names its state; send it as If-Match to put the record.
#[utoipa::path(
    tag = "bakery",
    params(("code" = String, Path, description = "Its code.")),
    responses((status = 200, description = "The supplier.", body = SupplierBody))
)]
#[get("/v1/suppliers/{code}")]
async fn find_supplier(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    records::find::<SupplierBody>(state, code.into_inner()).await
}

/// Puts one supplier.
///
/// The whole bakery is checked with it, and every fault is reported. Over a supplier
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = SupplierBody,
    responses(
        (status = 200, description = "It is put.", body = SupplierBody),
        (status = 201, description = "It is new.", body = SupplierBody)
    )
)]
#[put("/v1/suppliers/{code}")]
async fn put_supplier(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<SupplierBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
