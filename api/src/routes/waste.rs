//! Waste: what was thrown away, and the report of it.

use crate::{
    answer,
    extract::{self, Posted},
    problem::Problem,
    service::{Refusal, bakery, idempotency::Answer, stock},
    sheets::{self, Format},
    state::State,
    wire::waste::{WasteBody, WasteReportView, WasteView, waste_csv, waste_report},
};
use actix_web::{HttpRequest, HttpResponse, get, post, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(throw_away).service(report_waste).service(export_waste);
}

/// Throws something away.
///
/// Out of a lot it is a ledger entry as well; its money is what the lot had cost, and not
/// known if nobody said. What was in no lot is kept for the report.
#[utoipa::path(
    tag = "stock",
    request_body = WasteBody,
    responses((status = 201, description = "What became of it.", body = WasteView))
)]
#[post("/v1/waste")]
async fn throw_away(
    state: web::Data<State>,
    posted: Posted<WasteBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, |state, tx, body| {
        let asked = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let wasted = stock::waste(tx, &state.site, state.now(), &bakery, &asked)?;
        Answer::json(201, &WasteView::new(&bakery, &wasted))
    })
    .await
}

/// Of which days.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct WasteQuery {
    /// First local date; 27 days before the last if absent.
    #[param(example = "2026-06-01")]
    from: Option<String>,
    /// Last local date; today if absent.
    #[param(example = "2026-06-10")]
    to: Option<String>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

/// Reports waste.
///
/// By reason and by week, in weight, pieces and money, with a chart on paper. Entries that
/// were taken back are not in it; a price that nobody knows is never a zero.
#[utoipa::path(
    tag = "stock",
    params(WasteQuery),
    responses((status = 200, description = "The report, as JSON or HTML.", content((WasteReportView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/waste")]
async fn report_waste(
    state: web::Data<State>,
    query: web::Query<WasteQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let format = Format::wanted(&request)?;
    let report = report(state, query.into_inner()).await?;
    format.respond(&report, sheets::waste::draw).await
}

/// Exports waste.
///
/// The lines of the report as comma-separated values, one for each time that something was
/// thrown away.
#[utoipa::path(
    tag = "stock",
    params(WasteQuery),
    responses((status = 200, description = "The lines.", content_type = "text/csv", body = String))
)]
#[get("/v1/waste.csv")]
async fn export_waste(
    state: web::Data<State>,
    query: web::Query<WasteQuery>,
) -> Result<HttpResponse, Problem> {
    let report = report(state, query.into_inner()).await?;
    let csv = waste_csv(&report);
    Ok(sheets::csv(csv))
}

async fn report(state: web::Data<State>, query: WasteQuery) -> Result<WasteReportView, Problem> {
    let date =
        |field, text: Option<String>| text.map(|text| extract::date(field, &text)).transpose();
    let (from, to) = (date("from", query.from)?, date("to", query.to)?);
    let report = answer::read(state, move |state| {
        let now = state.now();
        state.store.read(|tx| {
            let bakery = bakery::load(state, tx)?;
            let range = stock::waste_days(&bakery, now, (from, to))?;
            let lines = stock::wasted(tx, &state.site, &bakery, range)?;
            Ok(waste_report(&bakery, &lines, range, now))
        })
    });
    report.await
}
