//! What a product contains, may contain, and what nobody knows of it.

use crate::{
    answer,
    problem::Problem,
    service::plan,
    state::State,
    wire::allergens::{ProductAllergensView, product_allergens},
};
use actix_web::{get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_allergens);
}

/// What is used instead.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct AllergensQuery {
    /// Items used instead of others, `from:to`, joined by commas.
    #[param(example = "raisins:golden-raisins")]
    swap: Option<String>,
}

/// Says what a product contains, may contain, and what nobody knows.
///
/// A union over all that touches it: formula, sub-formulas, old dough, wash, topping,
/// dusting, tin oil, other products in it. Dated and versioned; never "safe".
#[utoipa::path(
    tag = "statements",
    params(
        ("code" = String, Path, description = "The product's code.", example = "fruit-bun"),
        AllergensQuery
    ),
    responses((status = 200, description = "Its allergens.", body = ProductAllergensView))
)]
#[get("/v1/products/{code}/allergens")]
async fn read_allergens(
    state: web::Data<State>,
    code: web::Path<String>,
    query: web::Query<AllergensQuery>,
) -> Result<web::Json<ProductAllergensView>, Problem> {
    let (code, swap) = (code.into_inner(), query.into_inner().swap);
    let view = answer::read(state, move |state| {
        let morning = plan::load_reference(state)?;
        let found = morning.allergens(&code, swap.as_deref().unwrap_or_default())?;
        Ok(product_allergens(&morning, &code, &found))
    });
    Ok(web::Json(view.await?))
}
