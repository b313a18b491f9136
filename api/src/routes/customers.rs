//! Customers: who orders.

use crate::{
    document::site::CustomerBody,
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
    config.service(list_customers).service(find_customer).service(put_customer);
}

/// Lists customers.
///
/// Who orders, with tier and cutoff. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "bakery",
    params(PageQuery),
    responses((status = 200, description = "A page of customers.", body = Page<CustomerBody>))
)]
#[get("/v1/customers")]
async fn list_customers(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<CustomerBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one customer.
///
/// The ETag names its state; send it as If-Match to put the record.
#[utoipa::path(
    tag = "bakery",
    params(("code" = String, Path, description = "Its code.")),
    responses((status = 200, description = "The customer.", body = CustomerBody))
)]
#[get("/v1/customers/{code}")]
async fn find_customer(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    records::find::<CustomerBody>(state, code.into_inner()).await
}

/// Puts one customer.
///
/// The whole bakery is checked with it, and every fault is reported. Over a customer
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = CustomerBody,
    responses(
        (status = 200, description = "It is put.", body = CustomerBody),
        (status = 201, description = "It is new.", body = CustomerBody)
    )
)]
#[put("/v1/customers/{code}")]
async fn put_customer(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<CustomerBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
