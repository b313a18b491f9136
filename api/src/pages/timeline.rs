//! The day station by station, as pictures and as a list.

use super::{Page, Visit, days, frame::wide, visit::Day};
use crate::{
    messages::Words,
    service::plan::{self, Horizon},
    sheets::day_board::timeline::{self, Said},
    wire::day_board::{DayBoardView, day_board},
};
use actix_web::{HttpResponse, get, web};
use jiff::{ToSpan, civil::Date};
use maud::{Markup, html};
use utoipa_actix_web::service_config::ServiceConfig;

/// Dates that are offered, today first.
const DAYS: usize = 5;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(lead_to_timeline).service(show_timeline);
}

/// Leads to the stations of today.
///
/// By the bakery's clock.
#[utoipa::path(tag = "sheets", responses((status = 303, description = "On to the date.")))]
#[get("/timeline")]
async fn lead_to_timeline(visit: Visit) -> HttpResponse {
    visit.lead_to_today("/timeline").await
}

/// Shows the day station by station.
///
/// Mixers, places and ovens, each with what occupies it, as SVG and as a list.
#[utoipa::path(
    tag = "sheets",
    params(("date" = String, Path, description = "The local date on which hands work.", example = "2026-06-11")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/timeline/{date}")]
async fn show_timeline(visit: Visit, date: web::Path<Day>) -> HttpResponse {
    let Day(date) = date.into_inner();
    visit
        .show(move |state, words| {
            let morning = plan::load(state, Horizon::WorkDate(date))?;
            let view = day_board(&morning, date)?;
            Ok(Page {
                title: words.tell("timeline-title", &[("day", words.full_day(date).into())]),
                main: draw(words, (morning.today(), date), &view),
            })
        })
        .await
}

fn draw(words: Words, (today, shown): (Date, Date), view: &DayBoardView) -> Markup {
    let key = [("mixer", "timeline-mixer"), ("place", "timeline-place"), ("oven", "timeline-oven")];
    let said = Said {
        key: key.map(|(kind, message)| (kind, words.say(message))),
        moment: &|instant| words.moment(instant),
    };
    html! {
        (days::links(words, ("/timeline/", shown), today.series(1.day()).take(DAYS)))
        @if view.stations.is_empty() { p { (words.say("timeline-none")) } }
        @else {
            (wide(&words.say("timeline-picture"), &html! {
                div.picture { (timeline::draw(view, &said)) }
            }))
            details {
                summary { (words.say("timeline-list")) }
                (list(words, shown, view))
            }
        }
        p { a.button.quiet href=(format!("/v1/work-dates/{shown}/day-board")) { (words.say("timeline-board")) } }
    }
}

fn list(words: Words, date: Date, view: &DayBoardView) -> Markup {
    html! {
        @for station in &view.stations {
            h2 { (station.name) }
            ul {
                @for bar in &station.bars {
                    li {
                        (words.moment_on(date, &bar.start)) " – " (words.moment_on(date, &bar.end))
                        " " (bar.label)
                    }
                }
            }
        }
    }
}
