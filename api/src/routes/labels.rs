//! Drafts of labels, and nutrition.

use crate::{
    answer,
    problem::Problem,
    service::plan,
    sheets::{self, Format},
    state::State,
    wire::{
        label::{LabelView, label},
        nutrition::{ProductNutritionView, product_nutrition},
    },
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_label).service(read_nutrition);
}

/// By whose rules.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct LabelQuery {
    /// Code of a regulation; the site's own if absent.
    #[param(example = "eu")]
    regulation: Option<String>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

/// Drafts a product's label.
///
/// Ingredients in descending ingoing weight with allergens set off, added water less what
/// the oven took, quantities of what the name speaks of, nutrition. Always a draft for a
/// competent person.
#[utoipa::path(
    tag = "statements",
    params(
        ("code" = String, Path, description = "The product's code.", example = "sugar-bun"),
        LabelQuery
    ),
    responses((status = 200, description = "The draft, as JSON or HTML.", content((LabelView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/products/{code}/label")]
async fn read_label(
    state: web::Data<State>,
    code: web::Path<String>,
    query: web::Query<LabelQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let format = Format::wanted(&request)?;
    let view = answer::read(state, move |state| {
        label(&plan::load_reference(state)?, &code, query.regulation.as_deref())
    });
    format.respond(&view.await?, sheets::label::draw).await
}

/// States what a product nourishes.
///
/// For 100 g and for a piece, by the factors and roundings of one law. A sum of which a
/// part is missing is not known and says what it is at least.
#[utoipa::path(
    tag = "statements",
    params(
        ("code" = String, Path, description = "The product's code.", example = "sugar-bun"),
        LabelQuery
    ),
    responses((status = 200, description = "Its nutrition.", body = ProductNutritionView))
)]
#[get("/v1/products/{code}/nutrition")]
async fn read_nutrition(
    state: web::Data<State>,
    code: web::Path<String>,
    query: web::Query<LabelQuery>,
) -> Result<web::Json<ProductNutritionView>, Problem> {
    let view = answer::read(state, move |state| {
        product_nutrition(&plan::load_reference(state)?, &code, query.regulation.as_deref())
    });
    Ok(web::Json(view.await?))
}
