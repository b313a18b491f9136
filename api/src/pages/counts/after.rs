//! What a count came to: the book is shown now that it is posted.

use crate::{
    messages::Words,
    pages::{
        Page, Shown,
        frame::{
            Column::{Figure, Text},
            columns, wide,
        },
        stock::said,
        visit::segment,
    },
    service::{
        Refusal, bakery,
        stock::{self, CountedLine, CountedSheet},
    },
    state::State,
    wire::amount::{MoneyView, instant},
};
use domain::bakery::Bakery;
use maud::{Markup, html};

pub(super) fn page(state: &State, words: Words, document: &str) -> Shown {
    let (bakery, sheet) = state.store.read(|tx| {
        let bakery = bakery::load(state, tx)?;
        let sheet = stock::counted_sheet(tx, &state.site, &bakery, document)?;
        Ok::<_, Refusal>((bakery, sheet))
    })?;
    let moment = words.moment(&instant(&bakery.site().time_zone, sheet.at));
    Ok(Page {
        title: words.tell("counts-after-title", &[("moment", moment.into())]),
        main: html! {
            (sums(words, &bakery, &sheet))
            (wide(&words.say("counts-lines"), &html! {
                table {
                    (columns(words, &[
                        Text("lot-name"),
                        Text("lot-place"),
                        Figure("counts-counted"),
                        Figure("counts-book"),
                        Figure("counts-difference"),
                        Figure("counts-value"),
                    ]))
                    tbody { @for line in &sheet.lines { (line_of(words, &bakery, line)) } }
                }
            }))
            p.hint { (words.say("counts-taken-back-hint")) }
            p.links {
                a href="/counts" { (words.say("counts-other-place")) }
                a href="/stock" { (words.say("stock-title")) }
            }
        },
    })
}

/// How many lines differ, and what that is worth, up and down.
fn sums(words: Words, bakery: &Bakery, sheet: &CountedSheet) -> Markup {
    let standing = || sheet.lines.iter().filter(|line| !line.taken_back);
    let differ = standing().filter(|line| line.variance_micro != 0).count();
    let worth = || standing().filter_map(|line| line.money_minor);
    let (more, less): (i64, i64) =
        (worth().filter(|minor| *minor > 0).sum(), worth().filter(|minor| *minor < 0).sum());
    let unknown = standing().any(|line| line.variance_micro != 0 && line.money_minor.is_none());
    html! {
        p.state {
            b { (words.tell("counts-differ", &[("count", differ.into()), ("lines", sheet.lines.len().to_string().into())])) }
            @if let Some(who) = &sheet.who { " · " (who) }
        }
        @if differ > 0 {
            p {
                (words.tell("counts-worth", &[
                    ("more", money(words, bakery, more).into()),
                    ("less", money(words, bakery, less).into()),
                ]))
                @if unknown { " " (words.say("counts-worth-unknown")) }
            }
        }
    }
}

fn money(words: Words, bakery: &Bakery, minor: i64) -> String {
    words.digits(&MoneyView::new(minor, bakery.site().currency).said())
}

fn line_of(words: Words, bakery: &Bakery, line: &CountedLine) -> Markup {
    let CountedLine {
        lot,
        place,
        counted_micro,
        book_micro,
        variance_micro,
        money_minor,
        taken_back,
    } = line;
    let amount = |micro: i64| said(words, micro, lot.unit);
    html! {
        tr {
            th scope="row" {
                a href=(format!("/lots/{}", segment(&lot.id))) { (bakery.name_of(&lot.item)) ", " (lot.name) }
                @if *taken_back { " " span.loud { (words.say("counts-taken-back")) } }
            }
            td { (if place.is_empty() { "–" } else { bakery.place_name(place) }) }
            td.number { (amount(*counted_micro)) }
            td.number { (amount(*book_micro)) }
            td.number.loud[*variance_micro != 0] {
                @if *variance_micro == 0 { "–" } @else {
                    @if *variance_micro > 0 { "+" }
                    (amount(*variance_micro))
                }
            }
            td.number {
                @match money_minor {
                    _ if *variance_micro == 0 => "–",
                    Some(minor) => (money(words, bakery, *minor)),
                    None => (words.say("counts-value-unknown")),
                }
            }
        }
    }
}
