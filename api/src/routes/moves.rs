//! Moves: lots that go from place to place.

use crate::{
    answer,
    extract::Posted,
    problem::Problem,
    service::{Refusal, bakery, idempotency::Answer, stock},
    state::State,
    wire::moves::{MoveBody, MoveView},
};
use actix_web::{HttpResponse, post, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(move_lot);
}

/// Moves a lot.
///
/// Some of it or all that lies at a place: two ledger entries that sum to nothing. A lot that
/// is moved into a bin is in it until the bin is emptied.
#[utoipa::path(
    tag = "stock",
    request_body = MoveBody,
    responses((status = 201, description = "What the move came to.", body = MoveView))
)]
#[post("/v1/moves")]
async fn move_lot(
    state: web::Data<State>,
    posted: Posted<MoveBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, |state, tx, body| {
        let asked = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let moved = stock::place_lot(tx, &state.site, state.now(), &bakery, &asked)?;
        Answer::json(201, &MoveView::new(&moved))
    })
    .await
}
