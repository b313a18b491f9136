//! What mixers add to a dough.

use crate::{
    answer,
    extract::Posted,
    problem::Problem,
    service::{Refusal, friction, idempotency::Answer},
    state::State,
    wire::friction::{FrictionBody, FrictionView},
};
use actix_web::{HttpResponse, get, post, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(find_friction).service(accept_friction);
}

/// Says what a mixer's friction is, and what its doughs teach.
///
/// From the temperatures that were written back with mixed loads of the last 90 days: number of
/// doughs, mean, least and most, for the mixer and for each formula. From three doughs on a value
/// is suggested; it changes nothing until a person accepts it.
#[utoipa::path(
    tag = "loads",
    params(("code" = String, Path, description = "The mixer's code.", example = "floor-spiral")),
    responses((status = 200, description = "What is set and what was learnt.", body = FrictionView))
)]
#[get("/v1/mixers/{code}/friction")]
async fn find_friction(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<web::Json<FrictionView>, Problem> {
    let work = move |state: &State| {
        state.store.read(|tx| -> Result<_, Refusal> {
            Ok(FrictionView::new(&friction::find(state, tx, &code)?))
        })
    };
    Ok(web::Json(answer::read(state, work).await?))
}

/// Accepts a friction for a mixer.
///
/// The water of every later mix sheet is computed with it; the plan revision keeps who accepted
/// it and why.
#[utoipa::path(
    tag = "loads",
    params(("code" = String, Path, description = "The mixer's code.", example = "floor-spiral")),
    request_body = FrictionBody,
    responses((status = 200, description = "It is set.", body = FrictionView))
)]
#[post("/v1/mixers/{code}/friction")]
async fn accept_friction(
    state: web::Data<State>,
    code: web::Path<String>,
    posted: Posted<FrictionBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let accepted = body.read().map_err(Refusal::Body)?;
        let found = friction::accept(state, tx, &code, &accepted)?;
        Answer::json(200, &FrictionView::new(&found))
    })
    .await
}
