//! Yields: what was lost at each stage, against the figure that is set.

use crate::{
    answer,
    extract::Posted,
    problem::Problem,
    service::{Refusal, bakery, idempotency::Answer, yields},
    state::State,
    wire::yields::{AcceptYieldBody, ObservationBody, YieldsView},
};
use actix_web::{HttpResponse, get, post, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_yields).service(observe_yield).service(accept_yield);
}

/// Lists yields.
///
/// Every loss that is set or was seen, with how many loads and how wide they spread, and the
/// figure that they suggest. A person takes a suggestion; old batches do not change.
#[utoipa::path(
    tag = "stock",
    responses((status = 200, description = "All losses, by code and stage.", body = YieldsView))
)]
#[get("/v1/yields")]
async fn list_yields(state: web::Data<State>) -> Result<web::Json<YieldsView>, Problem> {
    let work = |state: &State| {
        state.store.read(|tx| {
            let bakery = bakery::load(state, tx)?;
            yields::yields(tx, &state.site, &bakery)
        })
    };
    Ok(web::Json(YieldsView::new(&answer::read(state, work).await?)))
}

/// Keeps what was seen of a loss.
///
/// What went into a stage of a load and what came out of it, by weight or by pieces. It
/// teaches a yield and moves no stock.
#[utoipa::path(
    tag = "stock",
    request_body = ObservationBody,
    responses((status = 201, description = "All losses with it.", body = YieldsView))
)]
#[post("/v1/yields/observations")]
async fn observe_yield(
    state: web::Data<State>,
    posted: Posted<ObservationBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, |state, tx, body| {
        let seen = body.read(state.now()).map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        yields::observe(tx, &state.site, state.now(), &bakery, &seen)?;
        Answer::json(201, &YieldsView::new(&yields::yields(tx, &state.site, &bakery)?))
    })
    .await
}

/// Accepts a yield.
///
/// In a person's name a loss is set to what was suggested, or to another figure: of a formula
/// from a service date on, of a product's rejects at once. Released loads keep the old one.
#[utoipa::path(
    tag = "stock",
    request_body = AcceptYieldBody,
    responses((status = 200, description = "All losses with it.", body = YieldsView))
)]
#[post("/v1/yields/accept")]
async fn accept_yield(
    state: web::Data<State>,
    posted: Posted<AcceptYieldBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, |state, tx, body| {
        let accepted = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        yields::accept(state, tx, &bakery, &accepted)?;
        let bakery = bakery::load(state, tx)?;
        Answer::json(200, &YieldsView::new(&yields::yields(tx, &state.site, &bakery)?))
    })
    .await
}
