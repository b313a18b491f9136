//! Loads of the past, written down so that traces go on through them.

use crate::{
    answer,
    extract::Posted,
    problem::Problem,
    service::{Refusal, bakery, idempotency::Answer, past_loads},
    state::State,
    wire::past_load::{PastLoadsBody, PastLoadsView},
};
use actix_web::{HttpResponse, post, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(write_down_past_loads);
}

/// Writes down loads of the past.
///
/// What was made before this book was kept, all of it or nothing. It moves no stock: what is
/// counted today stands, and traces go on through it.
#[utoipa::path(
    tag = "trace",
    request_body = PastLoadsBody,
    responses((status = 201, description = "The loads and their lots.", body = PastLoadsView))
)]
#[post("/v1/past-loads")]
async fn write_down_past_loads(
    state: web::Data<State>,
    posted: Posted<PastLoadsBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, |state, tx, body| {
        let (loads, who) = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let by = (loads.as_slice(), who.as_deref());
        let held = past_loads::write_down(tx, &state.site, state.now(), &bakery, by)?;
        Answer::json(201, &PastLoadsView::new(&held))
    })
    .await
}
