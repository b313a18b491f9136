//! Counts: what lay on the shelf against what the book says.

use crate::{
    answer,
    extract::Posted,
    problem::Problem,
    service::{Refusal, bakery, idempotency::Answer, stock},
    state::State,
    wire::count::{CountBody, CountView},
};
use actix_web::{HttpResponse, post, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(count);
}

/// Takes a count.
///
/// The variance is what was counted less what the book said at the moment counted; it
/// becomes a ledger entry of that moment, and everything that happened since stands.
#[utoipa::path(
    tag = "stock",
    request_body = CountBody,
    responses((status = 201, description = "What the count came to.", body = CountView))
)]
#[post("/v1/counts")]
async fn count(
    state: web::Data<State>,
    posted: Posted<CountBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, |state, tx, body| {
        let count = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let counted = stock::count(tx, &state.site, state.now(), &bakery, &count)?;
        Answer::json(201, &CountView::new(&counted))
    })
    .await
}
