//! One order: what became of its lines, and what changed from version to version.

use super::{Names, address};
use crate::{
    messages::Words,
    pages::{
        Draft, Page, Shown,
        field::{self, hidden},
        frame::{
            Column::{Figure, Text},
            columns, wide,
        },
    },
    routes,
    state::State,
    wire::order::{HistoryView, OrderLineView, OrderView, VersionView},
};
use maud::{Markup, html};

pub(super) fn page(state: &State, words: Words, order_ref: &str, draft: &Draft) -> Shown {
    let names = Names::load(state)?;
    let HistoryView { order, history, decided } = routes::orders::history(state, order_ref)?;
    let customer = order.customer.as_deref().unwrap_or("–");
    Ok(Page {
        title: words.tell("order-title", &[("customer", names.customer(customer).into())]),
        main: html! {
            (head(words, &order))
            (lines(words, &names, &order.lines))
            @for one in &decided {
                p {
                    b { (names.product(&one.product)) } ": "
                    (words.tell("order-decided", &[
                        ("pieces", one.pieces.to_string().into()),
                        ("who", one.who.as_str().into()),
                    ]))
                    " " (one.note)
                }
            }
            (steps(words, &order, draft))
            (versions(words, &names, &history))
        },
    })
}

fn head(words: Words, order: &OrderView) -> Markup {
    let date = order.service_date.as_deref().unwrap_or("–");
    html! {
        p.state { b { (words.say(&format!("order-state-{}", order.state))) } }
        dl {
            dt { (words.say("orders-date")) }
            dd { (words.day_of(date)) ", " (order.drop.as_deref().unwrap_or("–")) }
            @if let Some(cutoff) = &order.cutoff {
                dt { (words.say("order-cutoff")) } dd { (words.moment(cutoff)) }
            }
            dt { (words.say("orders-ref")) }
            dd { (order.order_ref) " · " (words.tell("order-version", &[("version", order.version_held.to_string().into())])) }
        }
        @if order.version != order.version_held {
            p.loud {
                (words.tell("order-refused-version", &[
                    ("version", order.version.to_string().into()),
                    ("held", order.version_held.to_string().into()),
                ]))
            }
        }
    }
}

fn lines(words: Words, names: &Names, lines: &[OrderLineView]) -> Markup {
    html! {
        (wide(&words.say("order-lines"), &html! {
            table {
                (columns(words, &[
                    Text("order-product"),
                    Figure("order-asked"),
                    Figure("order-taken"),
                    Text("order-answer"),
                ]))
                tbody { @for line in lines { (line_of(words, names, line)) } }
            }
        }))
    }
}

fn line_of(words: Words, names: &Names, line: &OrderLineView) -> Markup {
    html! {
        tr {
            th scope="row" { (names.product(&line.product)) }
            td.number { (line.quantity_asked.get()) }
            td.number { (line.quantity_taken) }
            td {
                b { (words.say(&format!("order-line-{}", line.state))) }
                @if let Some(reason) = line.reason {
                    " · " (words.say(&format!("order-reason-{reason}")))
                }
                br; (line.sentence.told(words))
                @if line.surplus > 0 {
                    br; (words.tell("order-surplus", &[("pieces", line.surplus.into())]))
                }
                @if let Some(earliest) = &line.earliest {
                    br; (words.tell("order-earliest", &[("moment", words.moment(earliest).into())]))
                }
            }
        }
    }
}

/// What can be done with it.
fn steps(words: Words, order: &OrderView, draft: &Draft) -> Markup {
    let path = address(&order.order_ref);
    let next = order.version.max(order.version_held).saturating_add(1).to_string();
    let action = (format!("{path}/cancel"), words.say("order-call-off"));
    html! {
        p { a.button href={ (path) "/amend" } { (words.say("order-amend")) } }
        @if order.state != "cancelled" {
            details open[draft.is_refused()] {
                summary { (words.say("order-call-off-open")) }
                p { (words.say("order-call-off-hint")) }
                (field::form(words, draft, (&action.0, &action.1), &hidden("version:number", &next)))
            }
        }
    }
}

fn versions(words: Words, names: &Names, history: &[VersionView]) -> Markup {
    html! {
        @if history.len() > 1 {
            section {
                h2 { (words.say("order-history")) }
                ol.versions reversed {
                    @for at in (0..history.len()).rev() {
                        @let before = at.checked_sub(1).map(|before| &history[before]);
                        (version(words, names, &history[at], before))
                    }
                }
            }
        }
    }
}

fn version(
    words: Words,
    names: &Names,
    version: &VersionView,
    before: Option<&VersionView>,
) -> Markup {
    html! {
        li value=(version.version) {
            p {
                b { (words.say(&format!("order-state-{}", version.state))) } " · "
                (words.moment(&version.received_at))
            }
            @if let Some(before) = before {
                ul {
                    @for (product, was, now) in changes(before, version) {
                        li {
                            (names.product(&product)) ": "
                            (words.tell("order-was-now", &[("was", was.into()), ("now", now.into())]))
                        }
                    }
                }
            }
        }
    }
}

/// Products whose pieces are others than in the version before: was, now.
fn changes(before: &VersionView, after: &VersionView) -> Vec<(String, String, String)> {
    let pieces = |version: &VersionView, product: &str| -> i64 {
        let lines = version.lines.iter().filter(|line| line.product == product);
        lines.map(|line| line.quantity_taken).sum()
    };
    let mut products: Vec<&str> = Vec::new();
    for line in before.lines.iter().chain(&after.lines) {
        if !products.contains(&line.product.as_str()) {
            products.push(&line.product);
        }
    }
    let both = |product: &str| (pieces(before, product), pieces(after, product));
    let moved = products.into_iter().map(|product| (product, both(product)));
    moved
        .filter(|(_, (was, now))| was != now)
        .map(|(product, (was, now))| (product.to_owned(), was.to_string(), now.to_string()))
        .collect()
}
