//! Formulas and sub-formulas, in dated versions.

use crate::{
    document::formula::FormulaBody,
    extract::{Body, IfMatch},
    page::{Page, PageQuery},
    problem::Problem,
    records::{self, OnQuery},
    state::State,
};
use actix_web::{HttpResponse, get, put, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_formulas).service(find_formula).service(put_formula);
}

/// Lists formulas.
///
/// Formulas and sub-formulas, each version a row of its own. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "bakery",
    params(PageQuery),
    responses((status = 200, description = "A page of formulas.", body = Page<FormulaBody>))
)]
#[get("/v1/formulas")]
async fn list_formulas(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<FormulaBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one formula.
///
/// The newest version, or the one that holds on a date; old versions stay readable.
#[utoipa::path(
    tag = "bakery",
    params(("code" = String, Path, description = "Its code."), OnQuery),
    responses((status = 200, description = "The formula.", body = FormulaBody))
)]
#[get("/v1/formulas/{code}")]
async fn find_formula(
    state: web::Data<State>,
    code: web::Path<String>,
    query: web::Query<OnQuery>,
) -> Result<HttpResponse, Problem> {
    records::find_on::<FormulaBody>(state, code.into_inner(), query.into_inner()).await
}

/// Puts one formula.
///
/// The whole bakery is checked with it, and every fault is reported. Each
/// `valid_from` is a version of its own. Over a formula
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = FormulaBody,
    responses(
        (status = 200, description = "It is put.", body = FormulaBody),
        (status = 201, description = "It is new.", body = FormulaBody)
    )
)]
#[put("/v1/formulas/{code}")]
async fn put_formula(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<FormulaBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
