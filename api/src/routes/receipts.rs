//! Receipts: what comes in becomes a lot.

use crate::{
    answer,
    extract::Posted,
    problem::Problem,
    service::{Refusal, bakery, idempotency::Answer, stock},
    state::State,
    store::Tx,
    wire::{
        lot::LotView,
        receipt::{ReceiptBody, ReceiptDraftView, ScanBody},
    },
};
use actix_web::{HttpResponse, post, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_scan).service(receive);
}

/// Reads a scan as a receipt.
///
/// An element string as the scanner sends it, its bracketed form, a Digital Link or a plain
/// number of a pack: what it says of item, lot, dates and amount, to be looked at. Nothing
/// is kept; a receipt takes the same scan. Faults name the character.
#[utoipa::path(
    tag = "stock",
    request_body = ScanBody,
    responses((status = 200, description = "What the code says.", body = ReceiptDraftView))
)]
#[post("/v1/receipts/scan")]
async fn read_scan(
    state: web::Data<State>,
    posted: Posted<ScanBody>,
) -> Result<web::Json<ReceiptDraftView>, Problem> {
    // A question has no effect that a retry could double, so its key keeps no answer.
    let Posted { key: _, body } = posted;
    let work = move |state: &State| {
        let bakery = state.store.read(|tx| bakery::load(state, tx))?;
        let today = bakery.site().time_zone.to_datetime(state.now()).date();
        let found = stock::scanned(&bakery, today, (&body.scan, body.packs));
        Ok(ReceiptDraftView::from(&found.map_err(Refusal::Body)?))
    };
    Ok(web::Json(answer::read(state, work).await?))
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
    answer::post(state, posted, |state, tx, body| take((state, tx), body)).await
}

/// Takes a receipt in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn take((state, tx): (&State, &mut Tx), body: &ReceiptBody) -> Result<Answer, Refusal> {
    let bakery = bakery::load(state, tx)?;
    let today = bakery.site().time_zone.to_datetime(state.now()).date();
    let scan = body.scan.as_deref().map(|text| (text, body.packs));
    let scanned = scan.map(|scan| stock::scanned(&bakery, today, scan)).transpose();
    let body = match scanned.map_err(Refusal::Body)? {
        Some(scanned) => body.filled(&scanned),
        None => body.clone(),
    };
    let receipt = body.read().map_err(Refusal::Body)?;
    let lot = stock::receive(tx, &state.site, state.now(), &bakery, &receipt)?;
    Answer::json(201, &LotView::new(&lot))
}
