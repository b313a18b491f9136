//! Weighing out on a tablet: the loads of a date, then one load on a screen.

mod load;
mod loads;

use super::{Draft, Form, Shown, Visit, visit::Day};
use crate::{
    messages::Words,
    routes,
    service::{
        Refusal,
        plan::{self, Horizon},
    },
    state::State,
    wire::{
        load::{ReleaseBody, WeighingsBody},
        weigh_out::{WeighOutView, weigh_out},
    },
};
use actix_web::{HttpResponse, get, post, web};
use jiff::civil::Date;
use serde_json::Value;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(lead_to_weigh_out).service(show_weigh_out).service(show_weighing);
    config.service(release_at_tablet).service(weigh_at_tablet);
}

/// Leads to the weigh-out of today.
///
/// By the bakery's clock.
#[utoipa::path(tag = "sheets", responses((status = 303, description = "On to the date.")))]
#[get("/weigh-out")]
async fn lead_to_weigh_out(visit: Visit) -> HttpResponse {
    visit.lead_to_today("/weigh-out").await
}

/// Shows the loads of a work date.
///
/// In mix order, with what is done and what is next.
#[utoipa::path(
    tag = "sheets",
    params(("date" = String, Path, description = "The local date on which hands work.", example = "2026-06-11")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/weigh-out/{date}")]
async fn show_weigh_out(visit: Visit, date: web::Path<Day>) -> HttpResponse {
    let Day(date) = date.into_inner();
    visit.show(move |state, words| Ok(loads::page(words, date, &view(state, date)?))).await
}

/// Shows one load.
///
/// Its lines in large type; a draft can be released, a released load weighed.
#[utoipa::path(
    tag = "loads",
    params(
        ("date" = String, Path, description = "The local date on which hands work.", example = "2026-06-11"),
        ("load" = String, Path, description = "The load's id.", example = "2026-06-12:bun:1")
    ),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/weigh-out/{date}/{load}")]
async fn show_weighing(visit: Visit, path: web::Path<(Day, String)>) -> HttpResponse {
    let (Day(date), load) = path.into_inner();
    let who = visit.caller().filter(|caller| caller.token.is_some());
    let who = who.map_or_else(String::new, |caller| caller.who.clone());
    visit
        .show(move |state, words| {
            let draft = Draft::new(state).with("who", who);
            load::page(words, date, &view(state, date)?, (&load, &draft))
        })
        .await
}

/// Releases a load at the tablet.
///
/// Once, however often the button is pressed.
#[utoipa::path(
    tag = "loads",
    params(
        ("date" = String, Path, description = "The local date on which hands work."),
        ("load" = String, Path, description = "The draft's id.")
    ),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the released load."))
)]
#[post("/weigh-out/{date}/{load}/release")]
async fn release_at_tablet(
    state: web::Data<State>,
    visit: Visit,
    path: web::Path<(Day, String)>,
    form: Form,
) -> HttpResponse {
    let (Day(date), load) = path.into_inner();
    let id = load.clone();
    let work = move |state: &State, tx: &mut _, body: &ReleaseBody| {
        routes::loads::release((state, tx), &id, body)
    };
    let outcome = form.post(&state, work).await.map(|answer| {
        let view: Value = serde_json::from_str(&answer.body).unwrap_or_default();
        format!("/weigh-out/{date}/{}?done=load-released", view["id"].as_str().unwrap_or_default())
    });
    visit
        .settle(outcome, form, move |state, words, draft| {
            again(state, words, date, (&load, &draft))
        })
        .await
}

/// Weighs a load at the tablet.
///
/// Lines are as printed unless the hand says otherwise; their lots leave the stock.
#[utoipa::path(
    tag = "loads",
    params(
        ("date" = String, Path, description = "The local date on which hands work."),
        ("load" = String, Path, description = "The load's UUID.")
    ),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the loads of the date."))
)]
#[post("/weigh-out/{date}/{load}/weighed")]
async fn weigh_at_tablet(
    state: web::Data<State>,
    visit: Visit,
    path: web::Path<(Day, String)>,
    form: Form,
) -> HttpResponse {
    let (Day(date), load) = path.into_inner();
    let id = load.clone();
    let work = move |state: &State, tx: &mut _, body: &WeighingsBody| {
        routes::loads::weigh((state, tx), &id, body)
    };
    let outcome = form.post(&state, work).await;
    let path = outcome.map(|_| format!("/weigh-out/{date}?done=load-weighed"));
    visit
        .settle(path, form, move |state, words, draft| again(state, words, date, (&load, &draft)))
        .await
}

fn again(state: &State, words: Words, date: Date, of: (&str, &Draft)) -> Shown {
    load::page(words, date, &view(state, date)?, of)
}

fn view(state: &State, date: Date) -> Result<WeighOutView, Refusal> {
    let morning = plan::load(state, Horizon::WorkDate(date))?;
    weigh_out(&morning, date).map_err(plan::refused)
}
