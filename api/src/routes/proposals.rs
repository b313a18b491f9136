//! What to order from whom.

use crate::{
    answer, extract,
    problem::Problem,
    service::plan::{self, Horizon},
    state::State,
    wire::proposals::{ProposalsView, proposals},
};
use actix_web::{get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_proposals);
}

/// How far to look.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct ProposalsQuery {
    /// Last service date looked at; 14 days from today if absent.
    #[param(example = "2026-06-13")]
    until: Option<String>,
}

/// Proposes what to order from whom by which cutoff.
///
/// Whole packs for what must come with each delivery. Below a supplier's minimum, lines of
/// its later cutoffs are brought forward if that costs no more than carriage; never what
/// keeps only shortly. Nothing is ordered by asking.
#[utoipa::path(
    tag = "sheets",
    params(ProposalsQuery),
    responses((status = 200, description = "The proposals.", body = ProposalsView))
)]
#[get("/v1/order-proposals")]
async fn read_proposals(
    state: web::Data<State>,
    query: web::Query<ProposalsQuery>,
) -> Result<web::Json<ProposalsView>, Problem> {
    let until = query.until.as_deref().map(|text| extract::date("until", text)).transpose()?;
    let view = answer::read(state, move |state| {
        let morning = plan::load(state, until.map_or(Horizon::Usual, Horizon::Until))?;
        proposals(&morning).map_err(plan::refused)
    });
    Ok(web::Json(view.await?))
}
