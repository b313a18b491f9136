//! What moved of costs since a date, and why.

use crate::{
    answer, extract,
    problem::Problem,
    service::cost_changes::changes,
    sheets::{self, Format, cost_changes as sheet},
    state::State,
    wire::cost_changes::{CostChangesView, cost_changes_csv, cost_changes_view},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_cost_changes).service(read_cost_changes_csv);
}

/// Between which dates, and of what.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct ChangesQuery {
    /// The first service date.
    #[param(example = "2026-06-12")]
    from: String,
    /// The second; the next one that is planned if absent.
    #[param(example = "2026-06-13")]
    to: Option<String>,
    /// Only this product.
    #[param(example = "croissant")]
    product: Option<String>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

/// Says what moved of the cost of a good piece, and why.
///
/// Standard cost on two service dates, and the steps between: prices, losses, formulas and the
/// pieces made are put to their new state one after another, so that they sum to the
/// difference exactly. As JSON, or as a sheet with the steps drawn.
#[utoipa::path(
    tag = "statements",
    params(ChangesQuery),
    responses(
        (status = 200, description = "Product by product.", body = CostChangesView),
        (status = 406, description = "Neither JSON nor HTML is wanted.")
    )
)]
#[get("/v1/cost-changes")]
async fn read_cost_changes(
    state: web::Data<State>,
    query: web::Query<ChangesQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let format = Format::wanted(&request)?;
    let view = found(state, query.into_inner()).await?;
    format.respond(&view, sheet::draw).await
}

/// What moved as a table for spreadsheets.
///
/// One row a product: price, yield, formula and mix add up to the difference.
#[utoipa::path(
    tag = "statements",
    params(ChangesQuery),
    responses((status = 200, description = "One row a product.", content_type = "text/csv", body = String))
)]
#[get("/v1/cost-changes.csv")]
async fn read_cost_changes_csv(
    state: web::Data<State>,
    query: web::Query<ChangesQuery>,
) -> Result<HttpResponse, Problem> {
    let csv = cost_changes_csv(&found(state, query.into_inner()).await?);
    Ok(sheets::csv(csv))
}

async fn found(state: web::Data<State>, query: ChangesQuery) -> Result<CostChangesView, Problem> {
    let ChangesQuery { from, to, product, _language: _ } = query;
    let was = extract::date("from", &from)?;
    let now = to.map(|to| extract::date("to", &to)).transpose()?;
    let work =
        move |state: &State| cost_changes_view(&changes(state, (was, now), product.as_deref())?);
    answer::read(state, work).await
}
