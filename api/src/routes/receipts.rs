//! Receipts: what comes in becomes a lot.

use crate::{
    answer,
    extract::Posted,
    problem::Problem,
    service::{Refusal, bakery, idempotency::Answer, stock},
    state::State,
    wire::{lot::LotView, receipt::ReceiptBody},
};
use actix_web::{HttpResponse, post, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(receive);
}

/// Takes a receipt.
///
/// Goods that came in, finished pieces, or a delivery on its way: one lot with its first
/// ledger entry. A quantity in another unit than the item's base unit is converted by its
/// density or usable weight, and refused if that is not known.
#[utoipa::path(
    tag = "stock",
    request_body = ReceiptBody,
    responses((status = 201, description = "The lot that it became.", body = LotView))
)]
#[post("/v1/receipts")]
async fn receive(
    state: web::Data<State>,
    posted: Posted<ReceiptBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, |state, tx, body| {
        let receipt = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let lot = stock::receive(tx, &state.site, state.now(), &bakery, &receipt)?;
        Answer::json(201, &LotView::new(&lot))
    })
    .await
}
