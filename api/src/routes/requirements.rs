//! What a service date needs.

use crate::{
    answer, extract,
    problem::Problem,
    service::plan::{self, Horizon},
    state::State,
    wire::requirements::{RequirementsView, requirements},
};
use actix_web::{get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_requirements);
}

/// Says what a service date needs.
///
/// From orders to start pieces, from those to doughs, sub-formulas and loads as weighed,
/// and down to every draw on stock with its instant. Each number has a `why`.
#[utoipa::path(
    tag = "plan",
    params(("date" = String, Path, description = "The local date on which goods are sold.", example = "2026-06-12")),
    responses((status = 200, description = "What is needed.", body = RequirementsView))
)]
#[get("/v1/service-dates/{date}/requirements")]
async fn read_requirements(
    state: web::Data<State>,
    date: web::Path<String>,
) -> Result<web::Json<RequirementsView>, Problem> {
    let date = extract::date("date", &date)?;
    let view = answer::read(state, move |state| {
        let morning = plan::load(state, Horizon::ServiceDate(date))?;
        requirements(&morning, date).map_err(plan::refused)
    });
    Ok(web::Json(view.await?))
}
