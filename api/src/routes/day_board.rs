//! The board of a work date.

use crate::{
    answer, extract,
    problem::Problem,
    service::plan::{self, Horizon},
    sheets::{self, Format},
    state::State,
    wire::day_board::{DayBoardView, day_board},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_day_board);
}

/// Prints the day board of a work date.
///
/// For the production lead: what needs a person by the latest moment to act, with levers and
/// what each costs; doughs with start, slack, pieces and what holds them up; and the day station
/// by station.
#[utoipa::path(
    tag = "sheets",
    params(("date" = String, Path, description = "The local date on which hands work.", example = "2026-06-11")),
    responses((status = 200, description = "The sheet, as JSON or HTML.", content((DayBoardView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/work-dates/{date}/day-board")]
async fn read_day_board(
    state: web::Data<State>,
    date: web::Path<String>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let date = extract::date("date", &date)?;
    let format = Format::wanted(&request)?;
    let view = answer::read(state, move |state| {
        let morning = plan::load(state, Horizon::WorkDate(date))?;
        day_board(&morning, date)
    });
    format.respond(&view.await?, sheets::day_board::draw).await
}
