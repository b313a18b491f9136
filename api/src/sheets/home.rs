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
                        li { a href=(format!("/v1/work-dates/{date}/weigh-out")) { "Weigh-out" } }
                        li { a href=(format!("/v1/work-dates/{date}/pick-list")) { "Pick list" } }
                    }
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
            @if !home.service_dates.is_empty() {
                section {
                    h2 { "Requirements (JSON)" }
                    ul {
                        @for date in &home.service_dates {
                            li {
                                a href=(format!("/v1/service-dates/{date}/requirements")) {
                                    (texts::full_day(date))
                                }
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
