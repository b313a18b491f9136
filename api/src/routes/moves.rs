//! Moves: what was carried from one place to another, and what was taken out to thaw.

use crate::{
    answer,
    extract::Posted,
    problem::Problem,
    service::{Refusal, bakery, idempotency::Answer, moves},
    state::State,
    wire::moves::{MoveBody, MoveView},
};
use actix_web::{HttpResponse, post, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(move_lot);
}

/// Moves a lot, or a part of it, to another place.
///
/// What leaves a freezer starts to thaw and is never frozen again. A part that moves becomes
/// a lot of the same name, with all its dates.
#[utoipa::path(
    tag = "stock",
    request_body = MoveBody,
    responses((status = 201, description = "The lot that lies in the new place now.", body = MoveView))
)]
#[post("/v1/moves")]
async fn move_lot(
    state: web::Data<State>,
    posted: Posted<MoveBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, |state, tx, body| {
        let asked = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let moved = moves::move_lot(tx, &state.site, state.now(), &bakery, &asked)?;
        Answer::json(201, &MoveView::new(&moved))
    })
    .await
}
