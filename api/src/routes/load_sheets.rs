//! Sheets of many loads' steps, typed in at once.

use crate::{
    answer,
    extract::Posted,
    problem::Problem,
    service::{Refusal, bakery, idempotency::Answer, loads},
    state::State,
    wire::load::{LoadSheetBody, LoadSheetOutcomeView, LoadSheetView, frozen},
};
use actix_web::{HttpResponse, post, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(type_load_sheet);
}

/// Types a whole sheet in.
///
/// Releases, weighings, steps and count-backs of many loads in one call, row after row. Each
/// row has its own outcome and what it cannot do leaves no trace; with `all_or_nothing` all
/// rows are done or none, and every fault of every row is named at once.
#[utoipa::path(
    tag = "loads",
    request_body = LoadSheetBody,
    responses((status = 200, description = "Row by row.", body = LoadSheetView))
)]
#[post("/v1/loads/sheet")]
async fn type_load_sheet(
    state: web::Data<State>,
    posted: Posted<LoadSheetBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, |state, tx, body| {
        let typed = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let done: Vec<_> = if body.all_or_nothing {
            let all = loads::act_all(state, tx, &bakery, &typed, frozen)?;
            all.into_iter().map(Ok).collect()
        } else {
            loads::act_each(state, tx, &bakery, &typed, frozen)?
        };
        let outcomes = body.rows.iter().zip(done);
        let view = outcomes.map(|(row, done)| LoadSheetOutcomeView::new(row, done)).collect();
        Answer::json(200, &LoadSheetView { outcomes: view })
    })
    .await
}
