//! The first page: links to today's sheets.

use super::{page::document, texts};
use maud::{Markup, html};

/// What the first page shows.
#[derive(Debug, Clone)]
pub struct Home {
    /// The bakery's name; none if no bakery is loaded yet.
    pub bakery: Option<String>,
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// Today and the days after it, as local dates.
    pub dates: Vec<String>,
    /// Service dates that are planned.
    pub service_dates: Vec<String>,
    /// Sheets that were printed at an earlier revision: their change slips.
    pub prints: Vec<HomePrint>,
}

/// A print whose change slip can be asked for.
#[derive(Debug, Clone)]
pub struct HomePrint {
    /// For which local date.
    pub work_date: String,
    /// Which sheet.
    pub sheet: String,
    /// The plan revision that stands on it.
    pub plan_revision: i64,
    /// When it was printed, with the bakery's offset.
    pub printed_at: String,
}

/// Draws the first page.
#[must_use]
pub fn draw(home: &Home) -> Markup {
    let body = html! {
        main.sheet.home {
            header { h1 { (home.bakery.as_deref().unwrap_or("Weighhouse")) } }
            @if home.bakery.is_none() {
                p { "No bakery is loaded yet: PUT /v1/bakery, or run " code { "weighhouse load FILE" } "." }
            }
            @for date in &home.dates {
                section {
                    h2 { (texts::full_day(date)) }
                    ul {
                        li { a href=(format!("/v1/work-dates/{date}/day-board")) { "Day board" } }
                        li { a href=(format!("/v1/work-dates/{date}/weigh-out")) { "Weigh-out" } }
                        li { a href=(format!("/v1/work-dates/{date}/pick-list")) { "Pick list" } }
                        li { a href=(format!("/v1/work-dates/{date}/fridge")) { "Feed and fridge" } }
                        li { a href=(format!("/v1/work-dates/{date}/prep-sheet")) { "Prep sheet" } }
                        li { a href=(format!("/v1/work-dates/{date}/mix-sheet")) { "Mix sheet" } }
                        li { a href=(format!("/v1/work-dates/{date}/bench-sheet")) { "Bench sheet" } }
                        li { a href=(format!("/v1/work-dates/{date}/bake-sheet")) { "Bake sheet" } }
                        li { a href=(format!("/v1/service-dates/{date}/drop-sheet")) { "Drop sheet" } }
                    }
                }
            }
            @if !home.prints.is_empty() {
                section {
                    h2 { "Changed since it was printed?" }
                    ul { @for print in &home.prints { li { (slip(print)) } } }
                }
            }
            section {
                h2 { "To buy" }
                ul { li { a href="/v1/shortages" { "Shortages" } } }
            }
            section {
                h2 { "Stock" }
                ul {
                    li { a href="/v1/count-sheets" { "Count sheet" } }
                    li { a href="/v1/waste" { "Waste" } }
                }
            }
            section {
                h2 { "What is in it" }
                ul { li { a href="/v1/allergen-matrix" { "Allergen matrix" } } }
            }
            @if !home.service_dates.is_empty() {
                section {
                    h2 { "Times, and requirements (JSON)" }
                    ul {
                        @for date in &home.service_dates {
                            li {
                                a href=(format!("/v1/service-dates/{date}/requirements")) {
                                    (texts::full_day(date))
                                }
                                " · "
                                a href=(format!("/v1/service-dates/{date}/schedule")) { "times" }
                                " · "
                                a href=(format!("/v1/service-dates/{date}/costs")) { "cost" }
                            }
                        }
                    }
                }
            }
            footer {
                p { (texts::revision(home.plan_revision)) " · " a href="/docs/" { "API" } }
                p.foot { (texts::foot()) }
            }
        }
    };
    document("Weighhouse", &body)
}

/// A link to the change slip against a print.
fn slip(print: &HomePrint) -> Markup {
    let HomePrint { work_date, sheet, plan_revision, printed_at } = print;
    let path = format!("/v1/work-dates/{work_date}/changes?since={plan_revision}&sheet={sheet}");
    html! {
        a href=(path) {
            "Change slip: " (sheet) " of " (texts::day(work_date)) ", "
            (texts::revision(*plan_revision)) ", printed " (texts::moment(printed_at))
        }
    }
}
