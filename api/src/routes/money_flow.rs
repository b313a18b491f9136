//! What things really cost: the stock ledger in money.

use crate::{
    answer, extract,
    problem::Problem,
    service::{
        Refusal, loads,
        stock::waste_days,
        valuation::{self, Ledger},
    },
    sheets::{self, Format, money_flow as sheet},
    state::State,
    wire::money_flow::{
        ActualCostView, LoadName, MoneyFlowView, actual_cost_view, money_flow_csv, money_flow_view,
    },
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use jiff::civil::Date;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_money_flow).service(read_money_flow_csv).service(read_actual_costs);
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

/// States what the loads of a service date really cost.
///
/// From the ledger: what each load took, lot by lot at what the lot cost, and what came out of
/// it; good pieces by product. As JSON, or as a sheet.
#[utoipa::path(
    tag = "statements",
    params(("date" = String, Path, description = "A service date.", example = "2026-06-12")),
    responses(
        (status = 200, description = "Loads and pieces.", body = ActualCostView),
        (status = 406, description = "Neither JSON nor HTML is wanted.")
    )
)]
#[get("/v1/service-dates/{date}/actual-costs")]
async fn read_actual_costs(
    state: web::Data<State>,
    date: web::Path<String>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let (date, format) = (extract::date("date", &date)?, Format::wanted(&request)?);
    let view = answer::read(state, move |state| {
        let (ledger, loads) =
            state.store.read(|tx| -> Result<(Ledger, Vec<LoadName>), Refusal> {
                Ok((valuation::ledger(state, tx)?, names(state, tx, date)?))
            })?;
        Ok(actual_cost_view(&ledger, date, &loads))
    });
    format.respond(&view.await?, sheet::draw_actual).await
}

fn names(state: &State, tx: &mut crate::store::Tx, date: Date) -> Result<Vec<LoadName>, Refusal> {
    let loads = loads::list_from(tx, &state.site, date)?;
    let of_date = loads.into_iter().filter(|load| load.service_date == date);
    Ok(of_date.map(|load| (load.id, load.formula, load.number)).collect())
}
