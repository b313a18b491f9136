//! Costs of a service date: standard, planned and actual, never two on one page.

use super::{Page, Visit, frame::wide};
use crate::{
    messages::{Sentence, Words, told},
    routes::cost::{CostKindQuery, costs},
    service::{
        Refusal,
        plan::{self, Horizon},
        valuation::actual_day,
    },
    sheets::chart::{Bar, bars},
    state::State,
    wire::{
        actual_cost::{ActualCostView, actual_cost_view},
        amount::money_text,
        day_cost::{DayCostView, ShareLineView},
        labour::LabourView,
    },
};
use actix_web::{HttpResponse, get, web};
use jiff::civil::Date;
use maud::{Markup, html};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_costs);
}

/// Which costs of which date.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(default)]
struct CostsQuery {
    /// The service date; the first that is planned if empty.
    #[param(example = "2026-06-12")]
    date: String,
    /// `standard`, `planned` or `actual`; standard if empty.
    #[param(example = "standard")]
    kind: String,
}

/// Kinds of cost.
const KINDS: [&str; 3] = ["standard", "planned", "actual"];

/// Shows what a service date costs.
///
/// Standard, planned or actual: per good piece, per dough, per customer, with labour on a line
/// of its own; and where to see what moved.
#[utoipa::path(
    tag = "statements",
    params(CostsQuery),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/costs")]
async fn show_costs(visit: Visit, query: web::Query<CostsQuery>) -> HttpResponse {
    let query = query.into_inner();
    visit
        .show(move |state, words| {
            let shown = Shown::of(state, words, &query)?;
            Ok(Page { title: words.say("costs-title"), main: draw(words, &shown) })
        })
        .await
}

/// What the page shows.
struct Shown {
    /// Service dates that are planned.
    dates: Vec<Date>,
    date: Date,
    kind: &'static str,
    lines: Lines,
}

/// The figures of one kind.
struct Lines {
    products: Vec<[String; 4]>,
    doughs: Vec<[String; 3]>,
    shares: Vec<ShareLineView>,
    total: String,
    missing: Vec<String>,
    notes: Vec<Sentence>,
    labour: Option<LabourView>,
}

impl Shown {
    fn of(state: &State, words: Words, query: &CostsQuery) -> Result<Self, Refusal> {
        let morning = plan::load(state, Horizon::Usual)?;
        let dates = morning.plan.dates.clone();
        let first = dates.first().copied().unwrap_or_else(|| morning.today());
        let date = query.date.parse().unwrap_or(first);
        let kind = KINDS.into_iter().find(|kind| *kind == query.kind).unwrap_or("standard");
        let lines = match kind {
            "actual" => {
                let day = state.store.read(|tx| actual_day(state, tx, date))?;
                Lines::actual(words, actual_cost_view(&day, date)?)
            }
            "planned" => Lines::planned(words, costs(state, CostKindQuery::Planned, date)?),
            _ => Lines::planned(words, costs(state, CostKindQuery::Standard, date)?),
        };
        Ok(Self { dates, date, kind, lines })
    }
}

impl Lines {
    fn planned(words: Words, view: DayCostView) -> Self {
        let products = view.products.into_iter().map(|line| {
            let total = money_text(line.total.minor_units);
            [line.name, line.good_planned.to_string(), line.printed.told(words), total]
        });
        let doughs = view.doughs.into_iter().map(|line| {
            [line.name, line.printed.told(words), format!("{} / {}", line.each.printed, line.per)]
        });
        Self {
            products: products.collect(),
            doughs: doughs.collect(),
            shares: view.customers.into_iter().chain(view.own_lines).collect(),
            total: view.printed.told(words),
            missing: view.missing,
            notes: view.notes,
            labour: view.labour,
        }
    }

    fn actual(words: Words, view: ActualCostView) -> Self {
        let products = view.products.into_iter().map(|line| {
            let total = money_text(line.total.minor_units);
            [line.product, line.pieces.amount, line.printed.told(words), total]
        });
        let doughs = view.doughs.into_iter().map(|line| {
            let made = format!("{} {}", line.quantity.amount, line.quantity.unit);
            [line.formula, made, format!("{} / {}", line.each.printed, line.per)]
        });
        Self {
            products: products.collect(),
            doughs: doughs.collect(),
            shares: view.customers.into_iter().chain(view.own_lines).collect(),
            total: view.printed.told(words),
            missing: view.missing,
            notes: view.notes,
            labour: None,
        }
    }
}

fn draw(words: Words, shown: &Shown) -> Markup {
    let Shown { dates, date, kind, lines } = shown;
    let name = |kind: &str| words.say(&format!("costs-{kind}"));
    html! {
        ul.links aria-label=(words.say("costs-kind")) {
            @for one in KINDS {
                li { a href=(format!("/costs?date={date}&kind={one}")) aria-current=[(one == *kind).then_some("page")] { (name(one)) } }
            }
        }
        ul.links aria-label=(words.say("costs-date")) {
            @for one in dates {
                li { a href=(format!("/costs?date={one}&kind={kind}")) aria-current=[(one == date).then_some("page")] { (words.day(*one)) } }
            }
        }
        p.hint { (words.say(&format!("costs-{kind}-stands-on"))) }
        p { b { (words.full_day(*date)) } ": " b { (lines.total) } }
        @if !lines.missing.is_empty() { p.loud { (words.say("costs-no-price")) ": " (lines.missing.join(", ")) } }
        @if !lines.notes.is_empty() { ul { @for note in &lines.notes { li { (note.told(words)) } } } }
        (products(words, lines))
        (shares(words, &lines.shares))
        (doughs(words, lines))
        @if let Some(found) = &lines.labour { (labour(words, found)) }
        (moved(words, dates))
        (print(words, *date, kind))
    }
}

fn products(words: Words, lines: &Lines) -> Markup {
    let title = words.say("costs-products");
    html! {
        @if !lines.products.is_empty() {
            section {
                h2 { (title) }
                (wide(&title, &html! {
                    table {
                        thead { tr { th { (words.say("costs-product")) } th.number { (words.say("costs-pieces")) } th.number { (words.say("costs-each")) } th.number { (words.say("costs-all")) } } }
                        tbody {
                            @for [name, pieces, each, all] in &lines.products {
                                tr { td { (name) } td.number { (pieces) } td.number { b { (each) } } td.number { (words.digits(all)) } }
                            }
                        }
                    }
                }))
            }
        }
    }
}

fn shares(words: Words, shares: &[ShareLineView]) -> Markup {
    let title = words.say("costs-for-whom");
    let bar = |line: &ShareLineView| Bar {
        name: line.name.told(words),
        length: i128::from(line.cost.minor_units),
        words: line.printed.told(words),
    };
    let drawn: Vec<Bar> = shares.iter().filter(|line| line.cost.minor_units > 0).map(bar).collect();
    html! {
        @if !shares.is_empty() {
            section {
                h2 { (title) }
                (wide(&title, &html! {
                    table {
                        thead { tr { th { (words.say("costs-whom")) } th.number { (words.say("costs-pieces")) } th.number { (words.say("costs-cost")) } } }
                        tbody {
                            @for line in shares {
                                tr { td { (line.name.told(words)) } td.number { (line.pieces) } td.number { (line.printed.told(words)) } }
                            }
                        }
                    }
                }))
                div.drawing { (bars("for-whom", &title, &drawn)) }
            }
        }
    }
}

fn doughs(words: Words, lines: &Lines) -> Markup {
    let title = words.say("costs-doughs");
    html! {
        @if !lines.doughs.is_empty() {
            section {
                h2 { (title) }
                (wide(&title, &html! {
                    table {
                        thead { tr { th { (words.say("costs-dough")) } th.number { (words.say("costs-amount")) } th.number { (words.say("costs-each-kg")) } } }
                        tbody {
                            @for [name, amount, each] in &lines.doughs {
                                tr { td { (name) } td.number { (words.said(amount)) } td.number { (words.digits(each)) } }
                            }
                        }
                    }
                }))
            }
        }
    }
}

fn labour(words: Words, view: &LabourView) -> Markup {
    let title = words.say("costs-labour");
    html! {
        section {
            h2 { (title) }
            p { (words.say("costs-labour-hint")) " " b { (view.printed.told(words)) } }
            (wide(&title, &html! {
                table {
                    thead { tr { th { (words.say("costs-product")) } th.number { (words.say("costs-minutes")) } th.number { (words.say("costs-each")) } } }
                    tbody {
                        @for line in &view.products {
                            tr {
                                td { (line.name) @if !line.missing.is_empty() { p.hint { (told(words, &line.missing).join("; ")) } } }
                                td.number { (words.digits(&line.minutes)) }
                                td.number { (line.printed.told(words)) }
                            }
                        }
                    }
                }
            }))
        }
    }
}

/// Leads to the sheet of what moved between two dates.
fn moved(words: Words, dates: &[Date]) -> Markup {
    let (first, last) = (dates.first(), dates.last());
    let text = |date: Option<&Date>| date.map(Date::to_string).unwrap_or_default();
    html! {
        section {
            h2 { (words.say("costs-moved")) }
            form method="get" action="/v1/cost-changes" {
                div.field {
                    label for="from" { (words.say("costs-from")) }
                    input #from name="from" type="date" value=(text(first)) required;
                }
                div.field {
                    label for="until" { (words.say("costs-to")) }
                    input #until name="to" type="date" value=(text(last)) required;
                }
                button type="submit" { (words.say("costs-show-moved")) }
            }
        }
    }
}

fn print(words: Words, date: Date, kind: &str) -> Markup {
    let day = format!("/v1/service-dates/{date}");
    let (sheet, csv) = match kind {
        "actual" => (format!("{day}/actual-costs"), format!("{day}/actual-costs.csv")),
        _ => (format!("{day}/costs?kind={kind}"), format!("{day}/costs.csv?kind={kind}")),
    };
    html! {
        p.links {
            a href=(sheet) { (words.say("costs-print")) }
            a href=(csv) { (words.say("costs-csv")) }
            a href="/v1/money-flow" { (words.say("costs-money-flow")) }
        }
    }
}
