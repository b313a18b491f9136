//! Product lots: made, listed, and sent to orders.

use crate::{
    answer,
    extract::{self, Posted},
    problem::Problem,
    service::{Refusal, bakery, idempotency::Answer, product_lots},
    state::State,
    wire::product_lot::{
        ConfirmLabelBody, LabelCheckView, ProductLotBody, ProductLotView, ProductLotsView,
        SendBody, SentView,
    },
};
use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_product_lots).service(make_product_lot).service(send_goods);
    config.service(check_label).service(confirm_label);
}

/// Lots of which service date.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct ProductLotsQuery {
    /// The local date for which they were made.
    #[param(example = "2026-06-12")]
    service_date: String,
}

/// Lists the product lots of a service date.
///
/// Each with its load, the pieces that were begun, and what is left of it.
#[utoipa::path(
    tag = "loads",
    params(ProductLotsQuery),
    responses((status = 200, description = "The lots.", body = ProductLotsView))
)]
#[get("/v1/product-lots")]
async fn list_product_lots(
    state: web::Data<State>,
    query: web::Query<ProductLotsQuery>,
) -> Result<web::Json<ProductLotsView>, Problem> {
    let date = extract::date("service_date", &query.service_date)?;
    let work =
        move |state: &State| state.store.read(|tx| product_lots::list(tx, &state.site, date));
    let rows = answer::read(state, work).await?.iter().map(ProductLotView::from).collect();
    Ok(web::Json(ProductLotsView { service_date: date.to_string(), rows }))
}

/// Makes a product lot.
///
/// For pieces that no load of their own gives. What the make-up asks for leaves the stock:
/// lots as they are written, else first expired first; a made thing that nobody wrote down
/// leaves as what it is made of.
#[utoipa::path(
    tag = "loads",
    request_body = ProductLotBody,
    responses((status = 201, description = "The lot.", body = ProductLotView))
)]
#[post("/v1/product-lots")]
async fn make_product_lot(
    state: web::Data<State>,
    posted: Posted<ProductLotBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, |state, tx, body| {
        let making = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let made = product_lots::record(tx, &state.site, state.now(), &bakery, &making)?;
        Answer::json(201, &ProductLotView::from(&made))
    })
    .await
}

/// Checks the label of a product lot.
///
/// The planned set of allergens against that of the lots that were really used. What the
/// planned label leaves out stops packing and sending until a person confirms new labels.
#[utoipa::path(
    tag = "loads",
    params(("id" = String, Path, description = "Id of the lot.")),
    responses((status = 200, description = "Both sets.", body = LabelCheckView))
)]
#[get("/v1/product-lots/{id}/labels")]
async fn check_label(
    state: web::Data<State>,
    id: web::Path<String>,
) -> Result<web::Json<LabelCheckView>, Problem> {
    let work = move |state: &State| {
        state.store.read(|tx| -> Result<_, Refusal> {
            let bakery = bakery::load(state, tx)?;
            let check = product_lots::label_check(tx, &state.site, &bakery, &id)?;
            Ok(LabelCheckView::new(&bakery, &check))
        })
    };
    Ok(web::Json(answer::read(state, work).await?))
}

/// Confirms the labels of a product lot.
///
/// In a person's name, for just what the planned label leaves out now: what comes to it
/// later must be confirmed again.
#[utoipa::path(
    tag = "loads",
    params(("id" = String, Path, description = "Id of the lot.")),
    request_body = ConfirmLabelBody,
    responses((status = 201, description = "Both sets, confirmed.", body = LabelCheckView))
)]
#[post("/v1/product-lots/{id}/labels")]
async fn confirm_label(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<ConfirmLabelBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let (who, note) = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let of = (id.as_str(), who.as_str(), note.as_deref());
        let check = product_lots::confirm_label(tx, &state.site, state.now(), &bakery, of)?;
        Answer::json(201, &LabelCheckView::new(&bakery, &check))
    })
    .await
}

/// Sends goods to orders.
///
/// As written, else what every order of the date or drop still waits for, drop after drop,
/// first expired first. What is written beyond what the book has is sent and flagged.
#[utoipa::path(
    tag = "loads",
    request_body = SendBody,
    responses((status = 201, description = "What left the house.", body = SentView))
)]
#[post("/v1/sends")]
async fn send_goods(
    state: web::Data<State>,
    posted: Posted<SendBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, |state, tx, body| {
        let sending = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let sent = product_lots::send(tx, &state.site, state.now(), &bakery, &sending)?;
        Answer::json(201, &SentView::new(&bakery, &sent))
    })
    .await
}
