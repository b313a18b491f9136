//! What is baked on a work date.

use crate::{
    answer, extract,
    problem::Problem,
    service::plan::{self, Horizon},
    sheets::{self, Format},
    state::State,
    wire::bake_sheet::{BakeSheetView, bake_sheet},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_bake_sheet);
}

/// Prints the bake sheet of a work date.
///
/// Filling after filling by oven and time, with whole trays of one product each, then boxes to
/// count back what came out. Proving times name the temperature that they hold at.
#[utoipa::path(
    tag = "sheets",
    params(("date" = String, Path, description = "The local date on which hands work.", example = "2026-06-11")),
    responses((status = 200, description = "The sheet, as JSON or HTML.", content((BakeSheetView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/work-dates/{date}/bake-sheet")]
async fn read_bake_sheet(
    state: web::Data<State>,
    date: web::Path<String>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let date = extract::date("date", &date)?;
    let format = Format::wanted(&request)?;
    let view = answer::read(state, move |state| {
        let morning = plan::load(state, Horizon::WorkDate(date))?;
        bake_sheet(&morning, date).map_err(plan::refused)
    });
    format.respond(&view.await?, sheets::bake_sheet::draw).await
}
