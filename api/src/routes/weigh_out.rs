//! What is weighed on a work date.

use crate::{
    answer, extract, front,
    problem::Problem,
    service::{
        plan::{self, Horizon},
        prints,
    },
    sheets::{self, Format},
    state::State,
    wire::{
        changes,
        weigh_out::{WeighOutView, weigh_out},
    },
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_weigh_out);
}

/// Prints the weigh-out of a work date.
///
/// One block per dough in mix order, one page per load, and toppings by product. Each line has
/// its scale, tub, lots, allergens and `why`. HTML prints on A4; JSON is the default.
#[utoipa::path(
    tag = "sheets",
    params(("date" = String, Path, description = "The local date on which hands work.", example = "2026-06-11")),
    responses((status = 200, description = "The sheet, as JSON or HTML.", content((WeighOutView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/work-dates/{date}/weigh-out")]
async fn read_weigh_out(
    state: web::Data<State>,
    date: web::Path<String>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let date = extract::date("date", &date)?;
    let format = Format::wanted(&request)?;
    let (horizon, name) = (Horizon::WorkDate(date), format!("weigh-out {date} {format:?}"));
    let counts = front::counts(&request);
    let ready = counts.and_then(|counts| plan::at_once(&state, counts, horizon));
    if let Some(bytes) = ready.and_then(|morning| morning.drawn(&name)) {
        return Ok(format.sent(bytes));
    }
    let bytes = answer::read(state, move |state| {
        let morning = plan::load(state, horizon)?;
        morning.sheet(&name, || {
            let mut view = weigh_out(&morning, date).map_err(plan::refused)?;
            let print = (date, changes::WEIGH_OUT, view.plan_revision);
            let note = prints::kept(state, print, &changes::of_weigh_out(&view));
            let whole = note.is_none();
            view.notes.extend(note);
            Ok((format.bytes(&view, sheets::weigh_out::draw)?, whole))
        })
    });
    Ok(format.sent(bytes.await?))
}
