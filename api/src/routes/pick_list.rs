//! What is fetched on a work date.

use crate::{
    answer, extract,
    problem::Problem,
    service::{
        plan::{self, Horizon},
        prints,
    },
    sheets::{self, Format},
    state::State,
    wire::{
        changes,
        pick_list::{PickListView, pick_list},
    },
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_pick_list);
}

/// Prints the pick list of a work date.
///
/// Two lists: what to pull from fridge and freezer and by when, and what to fetch from the
/// stores, place by place, in whole packs and loose, oldest lots first. HTML prints on A4.
#[utoipa::path(
    tag = "sheets",
    params(("date" = String, Path, description = "The local date on which hands work.", example = "2026-06-11")),
    responses((status = 200, description = "The sheet, as JSON or HTML.", content((PickListView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/work-dates/{date}/pick-list")]
async fn read_pick_list(
    state: web::Data<State>,
    date: web::Path<String>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let date = extract::date("date", &date)?;
    let format = Format::wanted(&request)?;
    let view = answer::read(state, move |state| {
        let morning = plan::load(state, Horizon::WorkDate(date))?;
        let mut view = pick_list(&morning, date).map_err(plan::refused)?;
        let print = (date, changes::PICK_LIST, view.plan_revision);
        view.notes.extend(prints::kept(state, print, &changes::of_pick_list(&view)));
        Ok(view)
    });
    format.respond(&view.await?, sheets::pick_list::draw).await
}
