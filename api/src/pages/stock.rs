//! Stock: what there is, one lot with where it went, counts, holds, and what comes in.

mod balance;
mod list;
mod lot;
mod receive;

use super::{Draft, Form, Visit, moment, visit};
use crate::{
    routes,
    service::{Refusal, bakery, idempotency::Answer, stock},
    state::State,
    store::Tx,
    wire::{
        count::CountBody,
        lot::{LotView, VerdictBody},
        receipt::ReceiptBody,
    },
};
use actix_web::{HttpResponse, get, post, web};
use domain::quantity::Unit;
use serde_json::Value;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_stock).service(show_stock_of).service(show_lot);
    config.service(hold_on_page).service(release_on_page).service(count_on_page);
    config.service(show_receiving).service(receive_on_page);
}

/// Shows the stock.
///
/// Every item with what is on hand, on hold and on its way, by the book.
#[utoipa::path(
    tag = "stock",
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/stock")]
async fn show_stock(visit: Visit) -> HttpResponse {
    visit.show(list::items).await
}

/// Shows the lots of an item.
///
/// How its balance went and will go, and the lots of which the book has something, or which
/// are kept back.
#[utoipa::path(
    tag = "stock",
    params(("item" = String, Path, description = "Code of the item or product.", example = "butter")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/stock/{item}")]
async fn show_stock_of(visit: Visit, item: web::Path<String>) -> HttpResponse {
    visit.show(move |state, words| list::lots(state, words, &item)).await
}

/// Shows a lot.
///
/// Its dates and places, where it went and who got it, and what a person may do with it.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/lots/{id}")]
async fn show_lot(visit: Visit, id: web::Path<String>) -> HttpResponse {
    visit.show(move |state, words| lot::page(state, words, &id, &Draft::new(state))).await
}

/// Holds a lot from its page.
///
/// As the API does, with the reason.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the lot."))
)]
#[post("/lots/{id}/hold")]
async fn hold_on_page(
    state: web::Data<State>,
    visit: Visit,
    id: web::Path<String>,
    form: Form,
) -> HttpResponse {
    judge(&state, visit, id.into_inner(), form, stock::Verdict::Hold).await
}

/// Releases a lot from its page.
///
/// As the API does, with the reason.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the lot."))
)]
#[post("/lots/{id}/release")]
async fn release_on_page(
    state: web::Data<State>,
    visit: Visit,
    id: web::Path<String>,
    form: Form,
) -> HttpResponse {
    judge(&state, visit, id.into_inner(), form, stock::Verdict::Release).await
}

async fn judge(
    state: &web::Data<State>,
    visit: Visit,
    id: String,
    form: Form,
    verdict: stock::Verdict,
) -> HttpResponse {
    let of = id.clone();
    let work = move |state: &State, tx: &mut Tx, body: &VerdictBody| {
        let act = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let (site, now) = (&state.site, state.now());
        let lot = stock::judge(tx, site, now, &bakery, &of, (verdict, &act))?;
        Answer::json(200, &LotView::new(&lot))
    };
    let path = form.post(state, work).await.map(|_| format!("{}?done=lot", address(&id)));
    visit.settle(path, form, move |state, words, draft| lot::page(state, words, &id, &draft)).await
}

/// Counts a lot from its page.
///
/// Against the book at the moment counted; what happened since then stands.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the lot."))
)]
#[post("/lots/{id}/count")]
async fn count_on_page(
    state: web::Data<State>,
    visit: Visit,
    id: web::Path<String>,
    form: Form,
) -> HttpResponse {
    let work = |state: &State, tx: &mut Tx, body: &CountBody| {
        let counted_at = moment::with_offset(state, tx, &body.counted_at)?;
        routes::counts::take((state, tx), &CountBody { counted_at, ..body.clone() })
    };
    let path = form.post(&state, work).await.map(|_| format!("{}?done=counted", address(&id)));
    visit.settle(path, form, move |state, words, draft| lot::page(state, words, &id, &draft)).await
}

/// Shows where goods are booked in.
///
/// The first field takes what a scanner sends.
#[utoipa::path(
    tag = "stock",
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/receiving")]
async fn show_receiving(visit: Visit) -> HttpResponse {
    visit.show(|state, words| receive::page(state, words, &receive::blank(state)?)).await
}

/// Books goods in.
///
/// What the scan does not say is taken from the other fields. Pressed twice it has one effect.
#[utoipa::path(
    tag = "stock",
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the lot."))
)]
#[post("/receiving")]
async fn receive_on_page(state: web::Data<State>, visit: Visit, form: Form) -> HttpResponse {
    let work =
        |state: &State, tx: &mut Tx, body: &ReceiptBody| routes::receipts::take((state, tx), body);
    let path = form.post(&state, work).await.map(|answer| {
        let view: Value = serde_json::from_str(&answer.body).unwrap_or_default();
        format!("{}?done=received", address(view["id"].as_str().unwrap_or_default()))
    });
    visit.settle(path, form, |state, words, draft| receive::page(state, words, &draft)).await
}

/// Where a lot is shown.
fn address(id: &str) -> String {
    format!("/lots/{}", visit::segment(id))
}

/// An amount as it is said.
pub(super) fn said(words: crate::messages::Words, micro: i64, unit: Unit) -> String {
    let printed = crate::wire::printed::amount(micro, unit);
    words.amount(&printed.amount, printed.unit)
}
