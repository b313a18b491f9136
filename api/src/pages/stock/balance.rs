//! How the balance of an item went and how it will go: a picture, and the same as a table.

mod course;
mod picture;

use super::said;
use crate::{
    messages::Words,
    pages::frame::{
        Column::{Figure, Text},
        columns, wide,
    },
    service::{
        Refusal,
        plan::{self, Horizon},
    },
    state::State,
    wire::amount::instant,
};
use course::{Course, Event, What};
use maud::{Markup, html};

/// Rows of the table that stand open.
const ROWS_OPEN: usize = 30;

/// The section of an item's page; nothing for what is in no plan and was never in the house.
pub(super) fn section(state: &State, words: Words, code: &str) -> Result<Markup, Refusal> {
    let morning = plan::load(state, Horizon::Usual)?;
    let Some(course) = Course::read(state, &morning, code)? else { return Ok(html! {}) };
    let words_of_ends = words.tell(
        "balance-words",
        &[
            ("from", words.moment(&instant(course.zone(), course.from)).into()),
            ("to", words.moment(&instant(course.zone(), course.to)).into()),
            ("now", said(words, course.book_micro, course.unit).into()),
            ("least", said(words, course.least(), course.unit).into()),
        ],
    );
    Ok(html! {
        section {
            h2 { (words.say("balance-title")) }
            (wide(&words.say("balance-title"), &html! {
                div.drawing { (picture::draw(words, &course, &words_of_ends)) }
            }))
            p { (words_of_ends) }
            @if course.usable_micro != course.book_micro {
                p {
                    (words.tell("balance-usable", &[
                        ("book", said(words, course.book_micro, course.unit).into()),
                        ("usable", said(words, course.usable_micro, course.unit).into()),
                    ]))
                }
            }
            @if let Some(at) = course.runs_out {
                p.loud { (words.tell("balance-runs-out", &[("moment", words.moment(&instant(course.zone(), at)).into())])) }
            }
            details open[course.events.len() <= ROWS_OPEN] {
                summary { (words.say("balance-table")) }
                (table(words, &course))
            }
        }
    })
}

fn table(words: Words, course: &Course) -> Markup {
    wide(
        &words.say("balance-table"),
        &html! {
            table {
                (columns(words, &[
                    Text("balance-when"),
                    Text("balance-what"),
                    Figure("balance-amount"),
                    Figure("balance-left"),
                ]))
                tbody { @for event in &course.events { (row(words, course, event)) } }
            }
        },
    )
}

fn row(words: Words, course: &Course, event: &Event) -> Markup {
    let amount = match &event.what {
        What::Now => "–".to_owned(),
        _ => said(words, event.amount_micro, course.unit),
    };
    html! {
        tr {
            th scope="row" { (words.moment(&instant(course.zone(), event.at))) }
            td {
                @match &event.what {
                    What::Happened(kind, lot) => { (words.say(&format!("balance-kind-{}", kind.word()))) " · " (lot) }
                    What::Now => b { (words.say("balance-now")) },
                    What::Comes(lot) => { (words.say("balance-comes")) " · " (lot) }
                    What::Ends(lot) => { (words.say("balance-ends")) " · " (lot) }
                    What::Taken(user) => { (words.say("balance-taken")) " · " (user) }
                }
            }
            td.number { (amount) }
            td.number.loud[event.left_micro < 0] { (said(words, event.left_micro, course.unit)) }
        }
    }
}
