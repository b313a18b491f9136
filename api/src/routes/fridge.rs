//! What dough and levain is in the house.

use crate::{
    answer, extract,
    problem::Problem,
    service::plan::{self, Horizon},
    sheets::{self, Format},
    state::State,
    wire::fridge::{FridgeView, fridge},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_fridge);
}

/// Prints the feed and fridge sheet of a work date.
///
/// Every dough, levain, cream and the like now in the house: made when, ready from, best
/// from, last, for whom, STOP if it is over its age and what can still be done with it; and
/// the feeds that keep levains alive on days without a build. HTML prints on A4.
#[utoipa::path(
    tag = "sheets",
    params(("date" = String, Path, description = "The local date on which hands work.", example = "2026-06-10")),
    responses((status = 200, description = "The sheet, as JSON or HTML.", content((FridgeView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/work-dates/{date}/fridge")]
async fn read_fridge(
    state: web::Data<State>,
    date: web::Path<String>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let date = extract::date("date", &date)?;
    let format = Format::wanted(&request)?;
    let view = answer::read(state, move |state| {
        let morning = plan::load(state, Horizon::WorkDate(date))?;
        fridge(&morning, date).map_err(plan::refused)
    });
    format.respond(&view.await?, sheets::fridge::draw).await
}
