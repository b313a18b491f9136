//! Counts: what to count next, a whole sheet typed in, and what it came to.

mod after;
mod entry;
mod start;

use super::{Form, Visit, moment, visit};
use crate::{routes, state::State, store::Tx, wire::count::CountSheetBody};
use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;
use utoipa_actix_web::service_config::ServiceConfig;

/// What the documents of sheets that were typed in begin with.
const DOCUMENT: &str = "count:";
/// The place of lots of which nobody said where they lie, in an address.
const NOWHERE: &str = "-";

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_counts).service(enter_counts).service(show_counted);
}

/// Which place is counted.
#[derive(Debug, Deserialize)]
struct CountsAsked {
    place: Option<String>,
}

/// Shows what to count.
///
/// First things first, and every place; of a place the sheet to type a count in. It does not
/// say what the book expects.
#[utoipa::path(
    tag = "stock",
    params(("place" = Option<String>, Query, description = "Code of the place, `-` for what lies nowhere.", example = "chiller")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/counts")]
async fn show_counts(visit: Visit, asked: web::Query<CountsAsked>) -> HttpResponse {
    let place = asked.into_inner().place.filter(|place| !place.is_empty());
    visit
        .show(move |state, words| match place {
            Some(place) => entry::page(state, words, &entry::blank(state, &place)?),
            None => start::page(state, words),
        })
        .await
}

/// Takes a counted sheet.
///
/// What is left empty is not counted and stays as it is. Pressed twice it has one effect.
#[utoipa::path(
    tag = "stock",
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to what the count came to."))
)]
#[post("/counts")]
async fn enter_counts(state: web::Data<State>, visit: Visit, form: Form) -> HttpResponse {
    let path = format!("/counts/{}?done=counted", visit::segment(form.text("sheet")));
    let work = |state: &State, tx: &mut Tx, body: &CountSheetBody| {
        let counted_at = moment::with_offset(state, tx, &body.counted_at)?;
        let body = CountSheetBody { counted_at, ..body.clone() };
        routes::counts::take_sheet((state, tx), &body)
    };
    let outcome = form.post(&state, work).await.map(|_| path);
    visit.settle(outcome, form, |state, words, draft| entry::page(state, words, &draft)).await
}

/// Shows what a count came to.
///
/// Line by line: counted, by the book, the difference and what it is worth.
#[utoipa::path(
    tag = "stock",
    params(("sheet" = String, Path, description = "The document that its entries carry.")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/counts/{sheet}")]
async fn show_counted(visit: Visit, sheet: web::Path<String>) -> HttpResponse {
    visit.show(move |state, words| after::page(state, words, &sheet)).await
}

/// Where a count is shown.
fn address(document: &str) -> String {
    format!("/counts/{}", visit::segment(document))
}
