//! What things really cost: the stock ledger in money.

use crate::{
    answer, extract,
    problem::Problem,
    service::{stock::waste_days, valuation},
    sheets::{self, Format, money_flow as sheet},
    state::State,
    wire::money_flow::{MoneyFlowView, money_flow_csv, money_flow_view},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_money_flow).service(read_money_flow_csv);
}

/// Which days.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct DaysQuery {
    /// First local date; four weeks before `to` if absent.
    #[param(example = "2026-06-08")]
    from: Option<String>,
    /// Last local date; today if absent.
    #[param(example = "2026-06-13")]
    to: Option<String>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

/// Accounts for the money of the stock ledger.
///
/// Every entry at what its lot cost: what was there and came in, and what became of it. Both
/// sides have one total, to the minor unit; today's price moves nothing. What has no price is
/// named. As JSON, or as a sheet.
#[utoipa::path(
    tag = "statements",
    params(DaysQuery),
    responses(
        (status = 200, description = "Both sides.", body = MoneyFlowView),
        (status = 406, description = "Neither JSON nor HTML is wanted.")
    )
)]
#[get("/v1/money-flow")]
async fn read_money_flow(
    state: web::Data<State>,
    query: web::Query<DaysQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let format = Format::wanted(&request)?;
    let view = flow(state, query.into_inner()).await?;
    format.respond(&view, sheet::draw).await
}

/// The money flow as a table for spreadsheets.
///
/// One row a line: what was received is what was issued, wasted and left.
#[utoipa::path(
    tag = "statements",
    params(DaysQuery),
    responses((status = 200, description = "One row a line.", content_type = "text/csv", body = String))
)]
#[get("/v1/money-flow.csv")]
async fn read_money_flow_csv(
    state: web::Data<State>,
    query: web::Query<DaysQuery>,
) -> Result<HttpResponse, Problem> {
    let csv = money_flow_csv(&flow(state, query.into_inner()).await?);
    Ok(sheets::csv(csv))
}

async fn flow(state: web::Data<State>, query: DaysQuery) -> Result<MoneyFlowView, Problem> {
    let date = |field: &str, text: Option<String>| {
        text.map(|text| extract::date(field, &text)).transpose()
    };
    let days = (date("from", query.from)?, date("to", query.to)?);
    let work = move |state: &State| {
        let ledger = state.store.read(|tx| valuation::ledger(state, tx))?;
        let days = waste_days(&ledger.bakery, ledger.now, days)?;
        money_flow_view(&ledger, days)
    };
    answer::read(state, work).await
}
