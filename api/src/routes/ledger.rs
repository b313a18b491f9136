//! The ledger as a whole: the proof of it.

use crate::{answer, problem::Problem, service::ledger, state::State, wire::ledger::CheckView};
use actix_web::{get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(check_ledger);
}

/// Checks the ledger.
///
/// Proves that balances are sums, that the chain of hashes is whole and has no gap, that every
/// lot's masses add up and that the bakery compiles. What is wrong is named, with what to do.
#[utoipa::path(
    tag = "stock",
    responses((status = 200, description = "What was proved, and what could not be.", body = CheckView))
)]
#[get("/v1/ledger/check")]
async fn check_ledger(state: web::Data<State>) -> Result<web::Json<CheckView>, Problem> {
    let work = |state: &State| state.store.read(|tx| ledger::check(state, tx));
    Ok(web::Json(CheckView::new(&answer::read(state, work).await?)))
}
