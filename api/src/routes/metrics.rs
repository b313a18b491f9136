//! For whoever watches it: what was counted.

use crate::{
    answer,
    metrics::Books,
    problem::Problem,
    service::{ledger, webhooks::deliveries},
    state::State,
};
use actix_web::{HttpResponse, get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_metrics);
}

/// Shows what was counted.
///
/// In the text format that Prometheus reads: times of requests by operation and class of
/// status, orders by outcome, times of plans by how they were come by, waits for a connection,
/// entries of the ledger, dead letters of webhooks. While the database does not answer, neither does this.
#[utoipa::path(
    tag = "measures",
    responses((status = 200, description = "One line a number.", body = String, content_type = "text/plain",
        example = "weighhouse_orders_total{outcome=\"taken\"} 2"))
)]
#[get("/metrics")]
async fn show_metrics(state: web::Data<State>) -> Result<HttpResponse, Problem> {
    let work = |state: &State| {
        let (plan_revision, ledger_entries) = ledger::size(state)?;
        let dead_letters = deliveries::dead(state)?;
        Ok(state.metrics.text(Books { plan_revision, ledger_entries, dead_letters }))
    };
    let text = answer::read(state, work).await?;
    Ok(HttpResponse::Ok().content_type("text/plain; version=0.0.4; charset=utf-8").body(text))
}
