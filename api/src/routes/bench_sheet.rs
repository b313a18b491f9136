//! What is divided and shaped on a work date.

use crate::{
    answer, extract,
    problem::Problem,
    service::plan::{self, Horizon},
    sheets::{self, Format},
    state::State,
    wire::bench_sheet::{BenchSheetView, bench_sheet},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_bench_sheet);
}

/// Prints the bench sheet of a work date.
///
/// Dough by dough by its start, heaviest piece first, with the scale weight of a piece, pieces
/// load by load, trays, toppings and where they go.
#[utoipa::path(
    tag = "sheets",
    params(("date" = String, Path, description = "The local date on which hands work.", example = "2026-06-11")),
    responses((status = 200, description = "The sheet, as JSON or HTML.", content((BenchSheetView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/work-dates/{date}/bench-sheet")]
async fn read_bench_sheet(
    state: web::Data<State>,
    date: web::Path<String>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let date = extract::date("date", &date)?;
    let format = Format::wanted(&request)?;
    let view = answer::read(state, move |state| {
        let morning = plan::load(state, Horizon::WorkDate(date))?;
        bench_sheet(&morning, date).map_err(plan::refused)
    });
    format.respond(&view.await?, sheets::bench_sheet::draw).await
}
