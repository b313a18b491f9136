//! What to cut when it is too late to order: two ways side by side, and what was decided.

mod decide;
mod ways;

use super::{Draft, Form, Page, Shown, Visit, days, field, visit::Day};
use crate::{
    messages::Words,
    routes::decisions,
    service::plan::{self, Horizon},
    state::State,
    store::Tx,
    wire::decision::{DecisionBody, TakeBackBody},
};
use actix_web::{HttpResponse, get, post, web};
use jiff::civil::Date;
use maud::html;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_cuts).service(decide_on_page).service(take_back_on_page);
}

/// Shows two ways to cut the orders of a service date.
///
/// Fair and best side by side with what fairness costs; UNDECIDED until a person decides.
#[utoipa::path(
    tag = "purchase",
    params(("date" = String, Path, description = "The service date.", example = "2026-06-13")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/cuts/{date}")]
async fn show_cuts(visit: Visit, date: web::Path<Day>) -> HttpResponse {
    visit.show(move |state, words| page(state, words, date.0, &Draft::new(state))).await
}

/// Decides on its page who gets how much.
///
/// One of the two ways as it was read, or numbers of one's own. Orders keep what was asked.
#[utoipa::path(
    tag = "purchase",
    params(("date" = String, Path, description = "The service date.", example = "2026-06-13")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to what was decided."))
)]
#[post("/cuts/{date}")]
async fn decide_on_page(
    state: web::Data<State>,
    visit: Visit,
    date: web::Path<Day>,
    form: Form,
) -> HttpResponse {
    let Day(date) = *date;
    let work = move |state: &State, tx: &mut Tx, body: &DecisionBody| {
        decisions::written((state, tx), date, body)
    };
    let path = form.post(&state, work).await.map(|_| format!("/cuts/{date}?done=decided"));
    visit.settle(path, form, move |state, words, draft| page(state, words, date, &draft)).await
}

/// Takes a decision back from its page.
///
/// By an entry of its own; what was decided stays on record.
#[utoipa::path(
    tag = "purchase",
    params(
        ("date" = String, Path, description = "The service date.", example = "2026-06-13"),
        ("id" = String, Path, description = "Which decision.")
    ),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to what is decided now."))
)]
#[post("/cuts/{date}/decisions/{id}/take-back")]
async fn take_back_on_page(
    state: web::Data<State>,
    visit: Visit,
    path: web::Path<(Day, String)>,
    form: Form,
) -> HttpResponse {
    let (Day(date), id) = path.into_inner();
    let work = move |state: &State, tx: &mut Tx, body: &TakeBackBody| {
        decisions::taken_back((state, tx), &id, body)
    };
    let path = form.post(&state, work).await.map(|_| format!("/cuts/{date}?done=taken-back"));
    visit.settle(path, form, move |state, words, draft| page(state, words, date, &draft)).await
}

fn page(state: &State, words: Words, date: Date, draft: &Draft) -> Shown {
    let view = decisions::cuts(state, (date, date))?;
    let morning = plan::load(state, Horizon::ServiceDate(date))?;
    let currency = morning.bakery.site().currency.to_string();
    let open = view.decisions.iter().filter(|held| held.taken_back.is_none());
    let mut parts: Vec<String> = open.map(|held| decide::part(&held.id)).collect();
    if view.state.is_some() {
        parts.extend(["way".to_owned(), "own".to_owned()]);
    }
    let main = html! {
        (days::links(words, ("/cuts/", date), morning.plan.dates.iter().copied()))
        (field::unplaced(words, draft, &parts))
        @match view.state {
            Some(_) => {
                p.banner { (words.say("cuts-undecided")) }
                (ways::draw(words, &view, &currency))
                (decide::forms(state, words, (date, &view), draft))
            }
            None => { p { (words.say("cuts-nothing")) } }
        }
        (decide::held(state, words, (date, &view.decisions), draft))
        p.links {
            a href=(format!("/v1/service-dates/{date}/cuts")) { (words.say("cuts-print")) }
            a href="/desk" { (words.say("desk-title")) }
        }
    };
    Ok(Page { title: words.tell("desk-cuts", &[("day", words.day(date).into())]), main })
}
