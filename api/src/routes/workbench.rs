//! The formula workbench.

use crate::{
    answer,
    document::formula::FormulaBody,
    extract::Posted,
    problem::Problem,
    service::{Refusal, workbench::bench},
    sheets::{Format, workbench as sheet},
    state::State,
    wire::workbench::{BenchBody, BenchQuery, BenchView, bench_view},
};
use actix_web::{HttpRequest, HttpResponse, get, post, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_workbench).service(ask_workbench);
}

/// Lays the versions of a formula beside each other.
///
/// Cost, allergens, hydration, salt and prefermented flour of each, what a baker would look at
/// twice, and the one in force at another size: a mass, flour, pieces, or the largest that
/// today's stock makes, in whole divisions of the scales. As JSON, or as a sheet.
#[utoipa::path(
    tag = "statements",
    params(("code" = String, Path, description = "The formula's code.", example = "country"), BenchQuery),
    responses(
        (status = 200, description = "Its versions.", body = BenchView),
        (status = 406, description = "Neither JSON nor HTML is wanted.")
    )
)]
#[get("/v1/formulas/{code}/workbench")]
async fn read_workbench(
    state: web::Data<State>,
    code: web::Path<String>,
    query: web::Query<BenchQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let format = Format::wanted(&request)?;
    let view = laid(state, code.into_inner(), query.into_inner(), None).await?;
    Ok(format.respond(&view, sheet::draw))
}

/// Lays a draft beside the versions of a formula; nothing of it is kept.
///
/// The draft is checked as if it were put, and every fault is reported; it is looked at with
/// the prices and stock of today, at any size that is asked for.
#[utoipa::path(
    tag = "statements",
    params(("code" = String, Path, description = "The formula's code.", example = "country"), BenchQuery),
    request_body = BenchBody,
    responses(
        (status = 200, description = "The versions, the draft last.", body = BenchView),
        (status = 406, description = "Neither JSON nor HTML is wanted.")
    )
)]
#[post("/v1/formulas/{code}/workbench")]
async fn ask_workbench(
    state: web::Data<State>,
    code: web::Path<String>,
    query: web::Query<BenchQuery>,
    request: HttpRequest,
    posted: Posted<BenchBody>,
) -> Result<HttpResponse, Problem> {
    let format = Format::wanted(&request)?;
    // A question has no effect that a retry could double, so its key keeps no answer.
    let Posted { key: _, body } = posted;
    let view = laid(state, code.into_inner(), query.into_inner(), Some(body.draft)).await?;
    Ok(format.respond(&view, sheet::draw))
}

async fn laid(
    state: web::Data<State>,
    code: String,
    query: BenchQuery,
    draft: Option<FormulaBody>,
) -> Result<BenchView, Problem> {
    let work = move |state: &State| {
        let asked = query.read(code, draft).map_err(Refusal::Body)?;
        Ok(bench_view(&asked.formula, &bench(state, &asked)?))
    };
    answer::read(state, work).await
}
