//! A formula in its two views.

use crate::{
    answer,
    problem::Problem,
    service::plan,
    state::State,
    wire::formula_views::{FormulaViewsView, formula_views},
};
use actix_web::{get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_formula_views);
}

/// Shows a formula as it is mixed, and as it is made of overall.
///
/// Parts as the baker wrote them, percent of flour in a bread: all flours, free and bound
/// water, salt, prefermented flour, the lines of the bowl, and all with sub-formulas dissolved.
#[utoipa::path(
    tag = "statements",
    params(("code" = String, Path, description = "The formula's code.", example = "country")),
    responses((status = 200, description = "Both views.", body = FormulaViewsView))
)]
#[get("/v1/formulas/{code}/views")]
async fn read_formula_views(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<web::Json<FormulaViewsView>, Problem> {
    let code = code.into_inner();
    let view = answer::read(state, move |state| {
        let morning = plan::load_reference(state)?;
        let views = morning.views(&code)?;
        Ok(formula_views(&morning, &code, &views))
    });
    Ok(web::Json(view.await?))
}
