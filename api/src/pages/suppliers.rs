//! Suppliers: until when to order what from whom, and what they brought.

mod goods;
mod list;
mod one;

use super::{Draft, Form, Visit, supplier_orders};
use crate::{routes, state::State, store::Tx, wire::supplier_order::SupplierOrderBody};
use actix_web::{HttpResponse, get, post, web};
use serde_json::Value;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_suppliers).service(show_supplier).service(draft_at_supplier);
}

/// Shows the suppliers with their next cutoffs.
///
/// In order of cutoff, with minimum order and open orders.
#[utoipa::path(
    tag = "purchase",
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/suppliers")]
async fn show_suppliers(visit: Visit) -> HttpResponse {
    visit.show(list::page).await
}

/// Shows a supplier.
///
/// Delivery days and cutoffs, minimum order, goods with packs and prices, open orders and what
/// was brought before.
#[utoipa::path(
    tag = "purchase",
    params(("code" = String, Path, description = "Its code.", example = "dairy")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/suppliers/{code}")]
async fn show_supplier(visit: Visit, code: web::Path<String>) -> HttpResponse {
    visit.show(move |state, words| one::page(state, words, &code, &Draft::new(state))).await
}

/// Drafts an order of one's own choice.
///
/// Whole packs by a cutoff that is open. Without any pack nothing is drafted.
#[utoipa::path(
    tag = "purchase",
    params(("code" = String, Path, description = "Its code.", example = "dairy")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the draft."))
)]
#[post("/suppliers/{code}/orders")]
async fn draft_at_supplier(
    state: web::Data<State>,
    visit: Visit,
    code: web::Path<String>,
    form: Form,
) -> HttpResponse {
    let work = |state: &State, tx: &mut Tx, body: &SupplierOrderBody| {
        // Without lines the API takes what the plan proposes: here every box was left empty.
        let lines = Some(body.lines.clone().unwrap_or_default());
        routes::supplier_orders::draft(state, tx, &SupplierOrderBody { lines, ..body.clone() })
    };
    let path = form.post(&state, work).await.map(|answer| {
        let view: Value = serde_json::from_str(&answer.body).unwrap_or_default();
        supplier_orders::address_after(view["id"].as_str().unwrap_or_default(), "drafted")
    });
    visit
        .settle(path, form, move |state, words, draft| one::page(state, words, &code, &draft))
        .await
}
