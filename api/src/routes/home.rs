//! The first page, and the looks of all pages.

use crate::{
    answer,
    problem::Problem,
    service::{
        Refusal,
        plan::{self, Horizon, Morning},
        prints::{self, Printed},
    },
    sheets::{
        self,
        home::{Home, HomePrint},
    },
    state::State,
    wire::amount::instant,
};
use actix_web::{HttpResponse, get, http::header, web};
use jiff::civil::Date;
use std::collections::BTreeMap;
use utoipa_actix_web::service_config::ServiceConfig;

/// Work dates that the first page links to, today first.
const DAYS: usize = 3;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_home).service(read_style);
}

/// Shows the first page.
///
/// Links to the sheets of today and the next days, in HTML, without any script.
#[utoipa::path(
    tag = "sheets",
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/")]
async fn show_home(state: web::Data<State>) -> Result<HttpResponse, Problem> {
    let home = answer::read(state, |state| match plan::load(state, Horizon::Usual) {
        Ok(morning) => home(state, &morning),
        Err(Refusal::NoBakery) => Ok(Home {
            bakery: None,
            plan_revision: 0,
            dates: Vec::new(),
            service_dates: Vec::new(),
            prints: Vec::new(),
        }),
        Err(other) => Err(other),
    });
    Ok(sheets::html(sheets::home::draw(&home.await?)))
}

fn home(state: &State, morning: &Morning) -> Result<Home, Refusal> {
    let dates: Vec<Date> = morning.today().series(jiff::ToSpan::days(1)).take(DAYS).collect();
    let mut prints = Vec::new();
    for date in &dates {
        prints.extend(stale(state, morning, *date)?);
    }
    Ok(Home {
        bakery: Some(morning.bakery.site().name.clone()),
        plan_revision: morning.plan_revision,
        dates: dates.iter().map(Date::to_string).collect(),
        service_dates: morning.plan.dates.iter().map(ToString::to_string).collect(),
        prints,
    })
}

/// The newest print of each sheet of a date, if it is of an earlier revision.
fn stale(state: &State, morning: &Morning, date: Date) -> Result<Vec<HomePrint>, Refusal> {
    let zone = &morning.bakery.site().time_zone;
    let mut newest: BTreeMap<String, HomePrint> = BTreeMap::new();
    for Printed { sheet, plan_revision, printed_at } in prints::list(state, date)? {
        let work_date = date.to_string();
        let printed_at = instant(zone, printed_at);
        let print = HomePrint { work_date, sheet: sheet.clone(), plan_revision, printed_at };
        newest.insert(sheet, print);
    }
    let earlier = |print: &HomePrint| print.plan_revision < morning.plan_revision;
    Ok(newest.into_values().filter(earlier).collect())
}

/// Gives the style sheet of all pages.
///
/// Black on white, A4, one load on a page.
#[utoipa::path(
    tag = "sheets",
    responses((status = 200, description = "The style sheet.", body = String, content_type = "text/css"))
)]
#[get("/assets/sheet.css")]
async fn read_style() -> HttpResponse {
    HttpResponse::Ok()
        .content_type("text/css; charset=utf-8")
        .insert_header((header::CACHE_CONTROL, "max-age=3600"))
        .body(sheets::STYLE)
}
