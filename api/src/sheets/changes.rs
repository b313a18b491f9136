//! The change slip on paper: what differs from the sheet on the wall, and nothing else.

use super::{
    page::{Stamp, document, foot, notes, stamp, widths},
    texts,
};
use crate::messages::{Sentence, Words};
use crate::wire::changes::{ChangeView, ChangesView, SheetChangesView};
use maud::{Markup, html};

/// Draws the change slip of a work date.
#[must_use]
pub fn draw(words: Words, view: &ChangesView) -> Markup {
    let title = format!("{} {}", words.say("change-slip-title"), view.work_date);
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("change-slip-title"),
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        @for (number, sheet) in (1..).zip(&view.sheets) {
            main.sheet {
                (stamp(&own, Some((number, view.sheets.len()))))
                header { h1 { (words.say("change-slip-title")) } }
                p.banner { (texts::replaces(words, &sheet.sheet, view.since)) }
                p { (texts::printed_at(words, &sheet.printed_at)) }
                (slip(words, sheet, view.plan_revision))
                (notes(words, &view.notes))
                (foot(words, &[words.say("caution-label")]))
            }
        }
    };
    document(words, &title, &body)
}

fn slip(words: Words, sheet: &SheetChangesView, revision: i64) -> Markup {
    if sheet.rows.is_empty() {
        return html! { h2 { (words.say("change-slip-nothing-changed")) } };
    }
    html! {
        table.lines.slip {
            (widths(&["tick", "item", "was", "now", "difference"]))
            thead {
                tr {
                    th.tick {} th { (words.say("sheet-ingredient")) } th.was { (words.say("change-slip-was")) }
                    th.now { (words.say("change-slip-now")) } th.difference { (words.say("change-slip-difference")) }
                }
            }
            @for group in sheet.rows.chunk_by(|a, b| a.group == b.group) {
                tbody.group {
                    tr { th colspan="5" scope="rowgroup" { b { (group[0].group.told(words)) } } }
                    @match whole_load(group) {
                        Some(load) => { (load_row(words, load, revision)) }
                        None => { @for change in group { (row(words, change)) } }
                    }
                }
            }
        }
    }
}

/// The row of a load that is gone or new as a whole: its page says the rest.
fn whole_load(group: &[ChangeView]) -> Option<&ChangeView> {
    group.iter().find(|change| {
        let is_load = change.key.starts_with("load/") && change.key.split('/').count() == 4;
        is_load && change.change != "changed"
    })
}

fn load_row(words: Words, change: &ChangeView, revision: i64) -> Markup {
    let amount = change.now.as_ref().or(change.was.as_ref());
    html! {
        tr {
            td.tick { span.box {} }
            td.item { p.name { (change.label.told(words)) } }
            td.now colspan="3" {
                @if change.change == "gone" {
                    (words.say("change-slip-do-not-weigh"))
                } @else {
                    (texts::new_load(words, revision))
                }
                @if let Some(amount) = amount { " (" (amount.told(words)) ")" }
            }
        }
    }
}

/// Longest value in large type.
const LARGE_CHARS_MAX: usize = 24;

fn row(words: Words, change: &ChangeView) -> Markup {
    let long = |text: &Option<Sentence>| {
        text.as_ref().is_some_and(|text| said(words, text).chars().count() > LARGE_CHARS_MAX)
    };
    html! {
        tr.small[long(&change.was) || long(&change.now)] {
            td.tick { span.box {} }
            td.item { p.name { (change.label.told(words)) } }
            td.was { @if let Some(was) = &change.was { s { (said(words, was)) } } @else { "-" } }
            td.now {
                @match &change.now {
                    Some(now) => { (said(words, now)) }
                    None => { (words.say("change-slip-gone")) }
                }
            }
            td.difference {
                @match (&change.difference_printed, change.change) {
                    (Some(difference), _) => { (words.said(difference)) }
                    (None, "added") => { (words.say("change-slip-new")) }
                    (None, _) => {}
                }
            }
        }
    }
}

/// An instant as people say it; all else as it stands.
fn said(words: Words, value: &Sentence) -> String {
    let value = &value.told(words);
    let instant = value.len() >= 20 && value.as_bytes().get(10) == Some(&b'T');
    if instant { words.moment(value) } else { words.said(value) }
}
