//! What leaves the house for a service date.

use crate::{
    answer, extract,
    problem::Problem,
    service::{
        drops,
        plan::{self, Horizon},
    },
    sheets::{self, Format},
    state::State,
    wire::drop_sheet::{DropSheetView, drop_sheet},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_drop_sheet);
}

/// Prints the drop sheet of a service date.
///
/// Drop by drop and van run by van run, last off first: what each customer gets, what is short
/// and why, allergens by the records, and blanks for what was packed, crates and a signature.
#[utoipa::path(
    tag = "sheets",
    params(("date" = String, Path, description = "The local date on which the goods are sold.", example = "2026-06-12")),
    responses((status = 200, description = "The sheet, as JSON or HTML.", content((DropSheetView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/service-dates/{date}/drop-sheet")]
async fn read_drop_sheet(
    state: web::Data<State>,
    date: web::Path<String>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let date = extract::date("date", &date)?;
    let format = Format::wanted(&request)?;
    let view = answer::read(state, move |state| {
        let morning = plan::load(state, Horizon::ServiceDate(date))?;
        drop_sheet(&morning, date, &drops::cut_lines(state, date)?)
    });
    format.respond(&view.await?, sheets::drop_sheet::draw).await
}
