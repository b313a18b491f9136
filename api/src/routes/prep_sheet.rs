//! What is made ready on a work date.

use crate::{
    answer, extract,
    problem::Problem,
    service::plan::{self, Horizon},
    sheets::{self, Format},
    state::State,
    wire::prep_sheet::{PrepSheetView, prep_sheet},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_prep_sheet);
}

/// Prints the prep sheet of a work date.
///
/// Levains, soakers, creams, washes and fruit by their start: how much of each, for what, from
/// when and until when it may be used, with boxes for temperature and time.
#[utoipa::path(
    tag = "sheets",
    params(("date" = String, Path, description = "The local date on which hands work.", example = "2026-06-11")),
    responses((status = 200, description = "The sheet, as JSON or HTML.", content((PrepSheetView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/work-dates/{date}/prep-sheet")]
async fn read_prep_sheet(
    state: web::Data<State>,
    date: web::Path<String>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let date = extract::date("date", &date)?;
    let format = Format::wanted(&request)?;
    let view = answer::read(state, move |state| {
        let morning = plan::load(state, Horizon::WorkDate(date))?;
        prep_sheet(&morning, date)
    });
    format.respond(&view.await?, sheets::prep_sheet::draw).await
}
