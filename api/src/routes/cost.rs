//! What a product costs.

use crate::{
    answer, extract,
    problem::Problem,
    service::{
        Refusal,
        plan::{self, Horizon},
        valuation,
    },
    sheets::{self, Format, day_cost},
    state::State,
    wire::{
        cost::{ProductCostView, cost},
        day_cost::{DayCostView, day_cost_csv, day_cost_view},
    },
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use jiff::civil::Date;
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_cost).service(read_costs).service(read_costs_csv);
}

/// What costs stand on; never two on one sheet.
#[derive(Debug, Clone, Copy, Default, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub(crate) enum CostKindQuery {
    /// Formula, price in force and exact masses.
    #[default]
    Standard,
    /// This plan's weighed amounts from the lots that it proposes.
    Planned,
}

/// Which cost.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct CostsQuery {
    /// `standard` if absent, or `planned`.
    #[serde(default)]
    #[param(inline)]
    kind: CostKindQuery,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
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
        cost(&morning, product, date)?.ok_or_else(|| Refusal::Stated {
            slug: "not-found",
            detail: format!("nothing of `{code}` is made for {date}: its cost follows its loads"),
        })
    });
    Ok(web::Json(view.await?))
}

/// States what all pieces of a service date cost.
///
/// Standard or planned cost per good piece, dough and customer, with overs, test pieces and what other
/// products take as lines of their own. Printed lines sum to the printed total. As JSON, or as
/// a sheet.
#[utoipa::path(
    tag = "statements",
    params(
        ("date" = String, Path, description = "A service date.", example = "2026-06-12"),
        CostsQuery
    ),
    responses(
        (status = 200, description = "The cost sheet.", body = DayCostView),
        (status = 406, description = "Neither JSON nor HTML is wanted.")
    )
)]
#[get("/v1/service-dates/{date}/costs")]
async fn read_costs(
    state: web::Data<State>,
    date: web::Path<String>,
    query: web::Query<CostsQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let (date, format) = (extract::date("date", &date)?, Format::wanted(&request)?);
    let kind = query.into_inner().kind;
    let view = answer::read(state, move |state| costs(state, kind, date)).await?;
    format.respond(&view, day_cost::draw).await
}

/// The products of a cost sheet as a table for spreadsheets.
///
/// One row a product, money in minor units; a missing price leaves its cell empty.
#[utoipa::path(
    tag = "statements",
    params(
        ("date" = String, Path, description = "A service date.", example = "2026-06-12"),
        CostsQuery
    ),
    responses((status = 200, description = "One row a product.", content_type = "text/csv", body = String))
)]
#[get("/v1/service-dates/{date}/costs.csv")]
async fn read_costs_csv(
    state: web::Data<State>,
    date: web::Path<String>,
    query: web::Query<CostsQuery>,
) -> Result<HttpResponse, Problem> {
    let (date, kind) = (extract::date("date", &date)?, query.into_inner().kind);
    let view = answer::read(state, move |state| costs(state, kind, date)).await?;
    let csv = day_cost_csv(&view);
    Ok(sheets::csv(csv))
}

/// The cost sheet of one kind for a service date.
pub(crate) fn costs(
    state: &State,
    kind: CostKindQuery,
    date: Date,
) -> Result<DayCostView, Refusal> {
    let (now, horizon) = (state.now(), Horizon::ServiceDate(date));
    let (morning, planned) = state.store.read(|tx| -> Result<_, Refusal> {
        let morning = plan::kept(state, tx, now, horizon)?;
        let planned = match kind {
            CostKindQuery::Standard => None,
            CostKindQuery::Planned => Some(valuation::planned(tx, &state.site, &morning)?),
        };
        Ok((morning, planned))
    })?;
    match planned {
        Some(costs) => day_cost_view(&morning, ("planned", &costs), date, Vec::new()),
        None => day_cost_view(&morning, ("standard", morning.standard_costs()), date, Vec::new()),
    }
}
