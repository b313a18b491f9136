//! What products contain, may contain, and what nobody knows of them.

use crate::{
    answer,
    problem::Problem,
    service::plan,
    sheets::{self, Format},
    state::State,
    wire::{
        allergen_matrix::{AllergenMatrixView, allergen_matrix, allergen_matrix_csv},
        allergens::{ProductAllergensView, allergens_csv, product_allergens},
    },
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config
        .service(read_allergens)
        .service(export_allergens)
        .service(read_matrix)
        .service(export_matrix);
}

/// What is used instead.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct AllergensQuery {
    /// Items used instead of others, `from:to`, joined by commas.
    #[param(example = "raisins:golden-raisins")]
    swap: Option<String>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

/// By whose list.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct MatrixQuery {
    /// Code of a regulation; the site's own if absent.
    #[param(example = "eu")]
    regulation: Option<String>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

/// Says what a product contains, may contain, and what nobody knows.
///
/// A union over all that touches it: formula, sub-formulas, old dough, wash, topping,
/// dusting, tin oil, other products in it. Dated and versioned, with the records that it
/// stands on; with `swap`, what that changes. Never "safe".
#[utoipa::path(
    tag = "statements",
    params(
        ("code" = String, Path, description = "The product's code.", example = "fruit-bun"),
        AllergensQuery
    ),
    responses((status = 200, description = "Its allergens, as JSON or HTML.", content((ProductAllergensView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/products/{code}/allergens")]
async fn read_allergens(
    state: web::Data<State>,
    code: web::Path<String>,
    query: web::Query<AllergensQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let format = Format::wanted(&request)?;
    let view = answer::read(state, move |state| {
        product_allergens(&plan::load_reference(state)?, &code, query.swap.as_deref())
    });
    format.respond(&view.await?, sheets::allergens::draw).await
}

/// Exports the allergens of a product.
///
/// Comma-separated values, one row for each word of the records and for each item that nobody
/// has read, with version and date.
#[utoipa::path(
    tag = "statements",
    params(
        ("code" = String, Path, description = "The product's code.", example = "fruit-bun"),
        AllergensQuery
    ),
    responses((status = 200, description = "The rows.", content_type = "text/csv", body = String))
)]
#[get("/v1/products/{code}/allergens.csv")]
async fn export_allergens(
    state: web::Data<State>,
    code: web::Path<String>,
    query: web::Query<AllergensQuery>,
) -> Result<HttpResponse, Problem> {
    let view = answer::read(state, move |state| {
        product_allergens(&plan::load_reference(state)?, &code, query.swap.as_deref())
    });
    Ok(sheets::csv(allergens_csv(&view.await?)))
}

/// Lays all products against the list of a regulation.
///
/// Each cell says contains, may contain, not known or not in our records; the last never
/// means "free from". Dated and versioned.
#[utoipa::path(
    tag = "statements",
    params(MatrixQuery),
    responses((status = 200, description = "The matrix, as JSON or HTML.", content((AllergenMatrixView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/allergen-matrix")]
async fn read_matrix(
    state: web::Data<State>,
    query: web::Query<MatrixQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let format = Format::wanted(&request)?;
    let view = matrix(state, query.into_inner()).await?;
    format.respond(&view, sheets::allergen_matrix::draw).await
}

/// Exports the allergen matrix.
///
/// Comma-separated values, one row for each product with version and date; no cell is
/// taken for a formula by a spreadsheet.
#[utoipa::path(
    tag = "statements",
    params(MatrixQuery),
    responses((status = 200, description = "The rows.", content_type = "text/csv", body = String))
)]
#[get("/v1/allergen-matrix.csv")]
async fn export_matrix(
    state: web::Data<State>,
    query: web::Query<MatrixQuery>,
) -> Result<HttpResponse, Problem> {
    let csv = allergen_matrix_csv(&matrix(state, query.into_inner()).await?);
    Ok(sheets::csv(csv))
}

async fn matrix(
    state: web::Data<State>,
    query: MatrixQuery,
) -> Result<AllergenMatrixView, Problem> {
    let view = answer::read(state, move |state| {
        allergen_matrix(&plan::load_reference(state)?, query.regulation.as_deref())
    });
    view.await
}
