//! The first page: what needs a person by the latest moment, and every sheet to print.

use super::{Page, Visit, desk, visit::go_to};
use crate::{
    access::Job,
    messages::Words,
    service::{
        Refusal,
        plan::{self, Horizon, Morning},
        prints::{self, Printed},
    },
    state::State,
    wire::{
        amount::instant,
        day_board::{BoardLeverView, ExceptionView, exceptions_of},
    },
};
use actix_web::{HttpResponse, get};
use jiff::{ToSpan, civil::Date};
use maud::{Markup, html};
use utoipa_actix_web::service_config::ServiceConfig;

/// Work dates whose sheets are offered, today first.
const DAYS: usize = 3;
/// Work dates whose board is looked at, today first.
const DAYS_DECIDED: usize = 2;
/// Sheets of a work date, in the order in which a day uses them.
const SHEETS: [(&str, &str); 8] = [
    ("weigh-out", "sheet-weigh-out"),
    ("pick-list", "sheet-pick-list"),
    ("day-board", "sheet-day-board"),
    ("prep-sheet", "sheet-prep-sheet"),
    ("mix-sheet", "sheet-mix-sheet"),
    ("bench-sheet", "sheet-bench-sheet"),
    ("bake-sheet", "sheet-bake-sheet"),
    ("fridge", "sheet-fridge"),
];
/// Sheets of no one date.
const OTHER_SHEETS: [(&str, &str); 4] = [
    ("/v1/shortages", "sheet-shortages"),
    ("/v1/count-sheets", "sheet-count"),
    ("/v1/waste", "sheet-waste"),
    ("/v1/allergen-matrix", "sheet-allergens"),
];

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(lead_in).service(show_today);
}

/// Leads to the first page of whoever comes in.
///
/// A till to its orders, everybody else to today.
#[utoipa::path(tag = "running", responses((status = 303, description = "On to the page.")))]
#[get("/")]
async fn lead_in(visit: Visit) -> HttpResponse {
    let till = visit.caller().is_some_and(|caller| caller.job == Job::Till);
    go_to(if till { "/orders" } else { "/today" })
}

/// Shows what needs a person, and links to every sheet.
///
/// By the latest moment at which somebody can act; today's and tomorrow's decisions.
#[utoipa::path(
    tag = "sheets",
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/today")]
async fn show_today(visit: Visit) -> HttpResponse {
    let desk = visit.may_read("purchase");
    visit
        .show(move |state, words| {
            let morning = plan::load(state, Horizon::Usual)?;
            let today = Today { desk, ..Today::of(state, &morning)? };
            Ok(Page { title: words.say("today-title"), main: draw(words, &today) })
        })
        .await
}

/// What the page shows.
struct Today {
    dates: Vec<Date>,
    exceptions: Vec<ExceptionView>,
    service_dates: Vec<Date>,
    /// Prints of an earlier revision: work date, and what was printed when.
    prints: Vec<(Date, String, i64, String)>,
    plan_revision: i64,
    /// Whether the reader may look at the shortage desk.
    desk: bool,
}

impl Today {
    fn of(state: &State, morning: &Morning) -> Result<Self, Refusal> {
        let dates: Vec<Date> = morning.today().series(1.day()).take(DAYS).collect();
        let decided = dates.get(..DAYS_DECIDED).unwrap_or(&dates);
        let mut exceptions = exceptions_of(morning, decided)?;
        exceptions.sort_by(|one, other| one.act_by.cmp(&other.act_by));
        let mut prints = Vec::new();
        let zone = &morning.bakery.site().time_zone;
        for date in &dates {
            for Printed { sheet, plan_revision, printed_at } in
                prints::outdated(state, *date, morning.plan_revision)?
            {
                prints.push((*date, sheet, plan_revision, instant(zone, printed_at)));
            }
        }
        let service_dates = morning.plan.dates.clone();
        let plan_revision = morning.plan_revision;
        Ok(Self { dates, exceptions, service_dates, prints, plan_revision, desk: false })
    }
}

fn draw(words: Words, today: &Today) -> Markup {
    let first = today.dates.first().copied().unwrap_or_default();
    html! {
        p.links {
            @for (at, date) in today.dates.iter().enumerate().take(DAYS_DECIDED) {
                a.button.quiet[at == 0] href=(format!("/v1/work-dates/{date}/weigh-out")) {
                    (words.tell("today-weigh-out", &[("day", words.day(*date).into())]))
                }
            }
        }
        section {
            h2 { (words.say("today-decide")) }
            @if today.exceptions.is_empty() { p { (words.say("today-nothing")) } }
            @else {
                p.hint { (words.say("today-decide-hint")) }
                ol.decisions { @for one in &today.exceptions { (exception(words, (first, today.desk), one)) } }
            }
        }
        (changed(words, today))
        section {
            h2 { (words.say("today-sheets")) }
            div.days { @for (at, date) in today.dates.iter().enumerate() { (sheets(words, at, *date)) } }
        }
        section {
            h2 { (words.say("today-more")) }
            ul.links {
                @for (path, name) in OTHER_SHEETS { li { a href=(path) { (words.say(name)) } } }
            }
            @for date in &today.service_dates {
                @let path = format!("/v1/service-dates/{date}");
                p.links {
                    span { (words.tell("today-for", &[("day", words.day(*date).into())])) }
                    a href={ (path) "/drop-sheet" } { (words.say("sheet-drop-sheet")) }
                    a href={ (path) "/schedule" } { (words.say("sheet-schedule")) }
                    a href={ (path) "/costs" } { (words.say("sheet-costs")) }
                }
            }
        }
        p.hint { (revision(words, today.plan_revision)) }
    }
}

fn revision(words: Words, revision: i64) -> String {
    words.tell("revision", &[("revision", revision.to_string().into())])
}

/// The sheets of a work date, the one asked for most first and large.
fn sheets(words: Words, at: usize, date: Date) -> Markup {
    let near = ["today-today", "today-tomorrow"].get(at);
    html! {
        div.day {
            h3 {
                (words.full_day(date))
                @if let Some(near) = near { " " span.near { (words.say(near)) } }
            }
            ul {
                @for (place, (sheet, name)) in SHEETS.iter().enumerate() {
                    li {
                        a.main[place == 0] href=(format!("/v1/work-dates/{date}/{sheet}")) {
                            (words.say(name))
                        }
                    }
                }
            }
        }
    }
}

fn exception(words: Words, (today, desk): (Date, bool), one: &ExceptionView) -> Markup {
    html! {
        li {
            p.by {
                @match &one.act_by {
                    Some(at) => {
                        (words.tell("today-act-by", &[("moment", words.moment_on(today, at).into())]))
                    }
                    None => { (words.say("today-at-once")) }
                }
                @if one.order_gone { " · " b { (words.say("today-order-gone")) } }
            }
            p.what { (one.what.told(words)) }
            @if !one.hits.is_empty() {
                details {
                    summary { (words.say("today-whom")) }
                    ul { @for hit in &one.hits { li { (hit.told(words)) } } }
                }
            }
            @if !one.levers.is_empty() {
                ul.levers { @for one in &one.levers { li { (lever(words, today, one)) } } }
            }
            @if let Some(item) = one.item.as_ref().filter(|_| desk) {
                p.links { a href=(desk::place(item)) { (words.say("today-to-desk")) } }
            }
        }
    }
}

/// Something that can be done, until when and at what cost.
pub(super) fn lever(words: Words, today: Date, lever: &BoardLeverView) -> Markup {
    html! {
        (lever.what.told(words))
        @if let Some(until) = &lever.until {
            ", " (words.tell("today-lever-until", &[("moment", words.moment_on(today, until).into())]))
        }
        " · "
        @match &lever.cost {
            Some(cost) => { (cost.told(words)) }
            None => { (words.say("today-cost-unknown")) }
        }
    }
}

/// Sheets on the wall that no longer hold, each with its change slip.
fn changed(words: Words, today: &Today) -> Markup {
    html! {
        @if !today.prints.is_empty() {
            section {
                h2 { (words.say("today-changed")) }
                ul.links {
                    @for (date, sheet, plan_revision, printed_at) in &today.prints {
                        @let since = format!("since={plan_revision}&sheet={sheet}");
                        @let name = format!("sheet-{sheet}");
                        li {
                            a href=(format!("/v1/work-dates/{date}/changes?{since}")) {
                                (words.tell("today-slip", &[
                                    ("sheet", words.say(&name).into()),
                                    ("day", words.day(*date).into()),
                                    ("revision", revision(words, *plan_revision).into()),
                                    ("moment", words.moment(printed_at).into()),
                                ]))
                            }
                        }
                    }
                }
            }
        }
    }
}
