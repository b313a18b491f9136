//! The change slip on paper: what differs from the sheet on the wall, and nothing else.

use super::{
    page::{Stamp, document, foot, notes, stamp, widths},
    texts::{self, word},
};
use crate::wire::changes::{ChangeView, ChangesView, SheetChangesView};
use maud::{Markup, html};

/// Draws the change slip of a work date.
#[must_use]
pub fn draw(view: &ChangesView) -> Markup {
    let title = format!("{} {}", word::CHANGE_SLIP, view.work_date);
    let own = Stamp {
        bakery: &view.bakery,
        title: word::CHANGE_SLIP,
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        @for (number, sheet) in (1..).zip(&view.sheets) {
            main.sheet {
                (stamp(&own, Some((number, view.sheets.len()))))
                header { h1 { (word::CHANGE_SLIP) } }
                p.banner { (texts::replaces(&sheet.sheet, view.since)) }
                p { (texts::printed_at(&sheet.printed_at)) }
                (slip(sheet, view.plan_revision))
                (notes(&view.notes))
                (foot(&[texts::check_the_label()]))
            }
        }
    };
    document(&title, &body)
}

fn slip(sheet: &SheetChangesView, revision: i64) -> Markup {
    if sheet.rows.is_empty() {
        return html! { h2 { (word::NOTHING_CHANGED) } };
    }
    html! {
        table.lines.slip {
            (widths(&["tick", "item", "was", "now", "difference"]))
            thead {
                tr {
                    th.tick {} th { (word::INGREDIENT) } th.was { (word::WAS) }
                    th.now { (word::NOW) } th.difference { (word::DIFFERENCE) }
                }
            }
            @for group in sheet.rows.chunk_by(|a, b| a.group == b.group) {
                tbody.group {
                    tr { th colspan="5" scope="rowgroup" { b { (group[0].group) } } }
                    @match whole_load(group) {
                        Some(load) => { (load_row(load, revision)) }
                        None => { @for change in group { (row(change)) } }
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

fn load_row(change: &ChangeView, revision: i64) -> Markup {
    let amount = change.now.as_ref().or(change.was.as_ref());
    html! {
        tr {
            td.tick { span.box {} }
            td.item { p.name { (change.label) } }
            td.now colspan="3" {
                @if change.change == "gone" {
                    (word::DO_NOT_WEIGH)
                } @else {
                    (texts::new_load(revision))
                }
                @if let Some(amount) = amount { " (" (amount) ")" }
            }
        }
    }
}

/// Longest value in large type.
const LARGE_CHARS_MAX: usize = 24;

fn row(change: &ChangeView) -> Markup {
    let long = |text: &Option<String>| {
        text.as_ref().is_some_and(|text| said(text).chars().count() > LARGE_CHARS_MAX)
    };
    html! {
        tr.small[long(&change.was) || long(&change.now)] {
            td.tick { span.box {} }
            td.item { p.name { (change.label) } }
            td.was { @if let Some(was) = &change.was { s { (said(was)) } } @else { "-" } }
            td.now {
                @match &change.now {
                    Some(now) => { (said(now)) }
                    None => { (word::GONE) }
                }
            }
            td.difference {
                @match (&change.difference_printed, change.change) {
                    (Some(difference), _) => { (difference) }
                    (None, "added") => { (word::NEW) }
                    (None, _) => {}
                }
            }
        }
    }
}

/// An instant as people say it; all else as it stands.
fn said(value: &str) -> String {
    let instant = value.len() >= 20 && value.as_bytes().get(10) == Some(&b'T');
    if instant { texts::moment(value) } else { value.to_owned() }
}
