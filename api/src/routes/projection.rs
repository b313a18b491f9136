//! The projected balance of an item.

use crate::{
    answer, extract,
    problem::Problem,
    service::plan::{self, Horizon},
    state::State,
    wire::projection::{ProjectionView, projection},
};
use actix_web::{get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_projection);
}

/// How far to look, and at what.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct ProjectionQuery {
    /// Last service date looked at; 14 days from today if absent.
    #[param(example = "2026-06-13")]
    until: Option<String>,
    /// Whether proposed supplier orders count as on their way; not if absent.
    with_proposals: Option<bool>,
}

/// Projects the balance of an item.
///
/// Need by need in order of time: from which lots, what nothing covers, what is left. Lots
/// on hold do not count, a lot goes out at the end of its date.
#[utoipa::path(
    tag = "stock",
    params(
        ("code" = String, Path, description = "Which item.", example = "butter-sheet"),
        ProjectionQuery
    ),
    responses((status = 200, description = "Its needs and what covers them.", body = ProjectionView))
)]
#[get("/v1/items/{code}/projection")]
async fn read_projection(
    state: web::Data<State>,
    code: web::Path<String>,
    query: web::Query<ProjectionQuery>,
) -> Result<web::Json<ProjectionView>, Problem> {
    let until = query.until.as_deref().map(|text| extract::date("until", text)).transpose()?;
    let with_proposals = query.with_proposals.unwrap_or(false);
    let view = answer::read(state, move |state| {
        let morning = plan::load(state, until.map_or(Horizon::Usual, Horizon::Until))?;
        let item = morning.item("item", &code)?;
        projection(&morning, item, with_proposals).map_err(plan::refused)
    });
    Ok(web::Json(view.await?))
}
