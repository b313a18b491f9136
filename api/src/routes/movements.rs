//! Movements: the stock ledger.

use crate::{
    answer,
    extract::Posted,
    page::{self, Page},
    problem::Problem,
    service::{Refusal, bakery, idempotency::Answer, ledger},
    state::State,
    wire::movement::{CorrectionBody, CorrectionView, MovementView},
};
use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_movements).service(correct_movement);
}

/// Which entries of which page.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct MovementsQuery {
    /// Only entries of the lot with this id.
    lot: Option<String>,
    /// Most rows of the page: 1 to 1000, 100 if absent.
    #[param(example = 100)]
    limit: Option<i64>,
    /// The `next` of the page before; absent for the first page.
    cursor: Option<String>,
}

/// Lists movements.
///
/// The entries of the ledger in the order in which they were written, in pages. Nothing
/// in it is ever changed: a correction is another entry.
#[utoipa::path(
    tag = "stock",
    params(MovementsQuery),
    responses((status = 200, description = "A page of entries.", body = Page<MovementView>))
)]
#[get("/v1/movements")]
async fn list_movements(
    state: web::Data<State>,
    query: web::Query<MovementsQuery>,
) -> Result<Page<MovementView>, Problem> {
    let MovementsQuery { lot, limit, cursor } = query.into_inner();
    let limit = page::limit(limit)?;
    let after = page::after(cursor.as_deref())?.unwrap_or_default();
    let work = move |state: &State| {
        state.store.read(|tx| {
            let zone = bakery::load(state, tx)?.site().time_zone.clone();
            ledger::movements(tx, &state.site, &zone, lot.as_deref(), (&after, limit))
        })
    };
    let rows = answer::read(state, work).await?.iter().map(MovementView::new).collect();
    Ok(Page::new(rows, limit, |last: &MovementView| last.id.clone()))
}

/// Takes a movement back.
///
/// By a counter-entry at the moment it happened, and a right entry if the body says what it
/// should have been; the wrong entry stays to be read. A move is taken back at both ends.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = CorrectionBody,
    responses((status = 201, description = "The entries that were written.", body = CorrectionView))
)]
#[post("/v1/movements/{id}/correct")]
async fn correct_movement(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<CorrectionBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let correction = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let written = ledger::correct(tx, &state.site, state.now(), &bakery, (&id, &correction))?;
        let movements = written.iter().map(MovementView::new).collect();
        Answer::json(201, &CorrectionView { movements })
    })
    .await
}
