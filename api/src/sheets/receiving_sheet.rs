//! What to check when an order comes, on paper.

use super::{
    page::{document, foot, notes, widths},
    supplier_order::{fact, top},
};
use crate::messages::Words;
use crate::wire::supplier_order::{SupplierOrderLineView, SupplierOrderView};
use maud::{Markup, html};

/// What the door checks, beside the boxes.
const AT_THE_DOOR: [&str; 4] = [
    "receiving-sheet-count-and-weigh",
    "receiving-sheet-temperature",
    "receiving-sheet-read-the-list",
    "receiving-sheet-lift",
];

/// Draws the sheet for the door.
#[must_use]
pub fn draw(words: Words, view: &SupplierOrderView) -> Markup {
    let title = format!("{} {}", words.say("receiving-sheet-title"), view.reference);
    let body = html! {
        main.sheet.wide.receiving {
            (top(words, view, words.say("receiving-sheet-title")))
            dl.facts {
                (fact(&words.say("receiving-sheet-from"), &view.supplier_name))
                (fact(&words.say("receiving-sheet-due-by"), &words.moment(&view.arrives)))
                div { dt { (words.say("receiving-sheet-came-at")) } dd { span.blank-box {} } }
                div { dt { (words.say("receiving-sheet-delivery-note")) } dd { span.blank-box.long {} } }
                div { dt { (words.say("receiving-sheet-taken-in-by")) } dd { span.blank-box.long {} } }
            }
            table.lines {
                (widths(&["tick", "packs", "name-column", "box-cell", "box-cell", "lot-cell", "box-cell", "box-cell", "box-cell", "lot-cell"]))
                thead { tr {
                    th.tick {} th.packs { (words.say("receiving-sheet-due")) } th { (words.say("sheet-what")) } th { (words.say("receiving-sheet-packs-came")) } th { (words.say("receiving-sheet-weight")) }
                    th { (words.say("sheet-lot")) } th { (words.say("receiving-sheet-last-day")) } th { "°C" } th { (words.say("receiving-sheet-label-as-before")) } th { (words.say("receiving-sheet-remark")) }
                } }
                tbody { @for line in &view.lines { (row(words, line)) } }
            }
            (notes(words, &view.notes))
            ul.notes { @for line in AT_THE_DOOR { li { (words.say(line)) } } }
            (foot(words, &[words.say("caution-label")]))
        }
    };
    document(words, &title, &body)
}

fn row(words: Words, line: &SupplierOrderLineView) -> Markup {
    html! {
        tr {
            td.tick { span.box {} }
            td.packs { (line.to_come) }
            td {
                p.name { (line.name) }
                p.remark {
                    (words.said(&line.holds)) @if line.uneven { ", " (words.say("receiving-sheet-uneven-weigh")) }
                    @if let Some(days) = line.least_life_days { ", " (words.say("receiving-sheet-at-least")) " " (days) " " (words.say("receiving-sheet-days-of-life")) }
                }
                @if line.agreed.is_some_and(|agreed| agreed != line.packs) {
                    p.remark { (words.say("receiving-sheet-ordered")) " " (line.packs) ", " (line.agreed.unwrap_or(0)) " " (words.say("receiving-sheet-promised")) }
                }
                @if line.received > 0 { p.remark { (line.received) " " (words.say("receiving-sheet-came-before")) } }
            }
            td.blank {} td.blank {} td.blank {} td.blank {} td.blank {} td.blank {} td.blank {}
        }
    }
}
