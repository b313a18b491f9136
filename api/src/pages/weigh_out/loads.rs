//! The loads of a work date in mix order.

use crate::{
    messages::Words,
    pages::{Page, days, visit::segment},
    wire::weigh_out::{WeighBlockView, WeighOutView, WeighPageView},
};
use jiff::{ToSpan, civil::Date};
use maud::{Markup, html};

/// All loads of a view, each with its block.
pub(super) fn all(view: &WeighOutView) -> Vec<(&WeighBlockView, &WeighPageView)> {
    let loads =
        view.blocks.iter().flat_map(|block| block.pages.iter().map(move |load| (block, load)));
    loads.collect()
}

pub(super) fn page(words: Words, date: Date, view: &WeighOutView) -> Page {
    let loads = all(view);
    let near = [-1, 0, 1].map(|days| date.saturating_add(days.days()));
    let open = loads.iter().filter(|(_, load)| !load.done).count();
    Page {
        title: words.tell("weigh-out-title", &[("day", words.full_day(date).into())]),
        main: html! {
            (days::links(words, ("/weigh-out/", date), near))
            @if loads.is_empty() { p { (words.say("weigh-out-nothing")) } } @else {
                p.hint { (words.tell("weigh-out-open", &[("count", open.into())])) }
                ol.loads { @for (block, load) in &loads { li { (row(words, date, block, load)) } } }
            }
            @if !view.toppings.is_empty() { p { (words.say("weigh-out-toppings")) } }
            p { a.button.quiet href=(format!("/v1/work-dates/{date}/weigh-out")) { (words.say("weigh-out-print")) } }
            @if !view.notes.is_empty() {
                details {
                    summary { (words.say("weigh-out-notes")) }
                    ul { @for note in &view.notes { li { (note.told(words)) } } }
                }
            }
        },
    }
}

fn row(words: Words, date: Date, block: &WeighBlockView, load: &WeighPageView) -> Markup {
    html! {
        a.load.over[load.done] href=(format!("/weigh-out/{date}/{}", segment(&load.id))) {
            span.clock { (words.moment_on(date, &load.starts_at)) }
            span.what {
                b { (block.name) } " " (load_of(words, block, load))
                span.hint { (words.tell("today-for", &[("day", words.day_of(&block.service_date).into())])) }
            }
            span.much { (words.amount(&load.printed.amount, load.printed.unit)) }
            span.state.loud[load.done] { (words.say(&format!("load-state-{}", load.state))) }
        }
    }
}

/// Which load of how many.
pub(super) fn load_of(words: Words, block: &WeighBlockView, load: &WeighPageView) -> String {
    let number = |number: i64| number.to_string().into();
    words.tell("weigh-out-load", &[("load", number(load.load)), ("loads", number(block.loads))])
}
