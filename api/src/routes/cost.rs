//! What a product costs.

use crate::{
    answer, extract,
    problem::Problem,
    service::{
        Refusal,
        plan::{self, Horizon},
    },
    state::State,
    wire::cost::{ProductCostView, cost},
};
use actix_web::{get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_cost);
}

/// For which day.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct CostQuery {
    /// The service date: its loads, and prices in force then.
    #[param(example = "2026-06-12")]
    service_date: String,
}

/// States what a piece costs by formula.
///
/// Standard cost: prices in force on exact masses, with residue, losses, trim, forced whole
/// pans and blocks, rejects and packaging. A price that is not known is named and makes the
/// figure an "at least"; it is never 0. Joint outputs cost their agreed share of the fruit.
#[utoipa::path(
    tag = "statements",
    params(
        ("code" = String, Path, description = "Which product.", example = "croissant"),
        CostQuery
    ),
    responses((status = 200, description = "Its standard cost.", body = ProductCostView))
)]
#[get("/v1/products/{code}/cost")]
async fn read_cost(
    state: web::Data<State>,
    code: web::Path<String>,
    query: web::Query<CostQuery>,
) -> Result<web::Json<ProductCostView>, Problem> {
    let date = extract::date("service_date", &query.service_date)?;
    let view = answer::read(state, move |state| {
        let morning = plan::load(state, Horizon::ServiceDate(date))?;
        let product = morning.product(&code)?;
        cost(&morning, product, date).ok_or_else(|| Refusal::Stated {
            slug: "not-found",
            detail: format!("nothing of `{code}` is made for {date}: its cost follows its loads"),
        })
    });
    Ok(web::Json(view.await?))
}
