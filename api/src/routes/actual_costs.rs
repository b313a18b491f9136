//! What the loads and pieces of a service date really cost.

use crate::{
    answer, extract,
    problem::Problem,
    service::valuation::actual_day,
    sheets::{self, Format, actual_cost as sheet},
    state::State,
    wire::actual_cost::{ActualCostView, actual_cost_csv, actual_cost_view},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_actual_costs).service(read_actual_costs_csv);
}

/// States what a service date really cost.
///
/// From the ledger: what each load took, lot by lot at what the lot cost, what came out of it,
/// good pieces by product, and what was sent to whom. Customers and what became of the other
/// pieces sum to the products. Today's price moves nothing. As JSON, or as a sheet.
#[utoipa::path(
    tag = "statements",
    params(("date" = String, Path, description = "A service date.", example = "2026-06-12")),
    responses(
        (status = 200, description = "Loads, doughs, pieces and customers.", body = ActualCostView),
        (status = 406, description = "Neither JSON nor HTML is wanted.")
    )
)]
#[get("/v1/service-dates/{date}/actual-costs")]
async fn read_actual_costs(
    state: web::Data<State>,
    date: web::Path<String>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let format = Format::wanted(&request)?;
    format.respond(&view(state, &date).await?, sheet::draw).await
}

/// What a service date really cost, as a table for spreadsheets.
///
/// One row a dough, product, customer and other line; the money of doughs is in the products
/// already.
#[utoipa::path(
    tag = "statements",
    params(("date" = String, Path, description = "A service date.", example = "2026-06-12")),
    responses((status = 200, description = "One row a line.", content_type = "text/csv", body = String))
)]
#[get("/v1/service-dates/{date}/actual-costs.csv")]
async fn read_actual_costs_csv(
    state: web::Data<State>,
    date: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let csv = actual_cost_csv(&view(state, &date).await?);
    Ok(sheets::csv(csv))
}

async fn view(state: web::Data<State>, date: &str) -> Result<ActualCostView, Problem> {
    let date = extract::date("date", date)?;
    let read = move |state: &State| {
        let day = state.store.read(|tx| actual_day(state, tx, date))?;
        actual_cost_view(&day, date)
    };
    answer::read(state, read).await
}
