//! What to check when an order comes, on paper.

use super::{
    page::{document, foot, notes, widths},
    supplier_order::{fact, top, word},
    texts,
};
use crate::wire::supplier_order::{SupplierOrderLineView, SupplierOrderView};
use maud::{Markup, html};

/// Draws the sheet for the door.
#[must_use]
pub fn draw(view: &SupplierOrderView) -> Markup {
    let title = format!("{} {}", word::RECEIVING, view.reference);
    let body = html! {
        main.sheet.wide.receiving {
            (top(view, word::RECEIVING))
            dl.facts {
                (fact("from", &view.supplier_name))
                (fact("due by", &texts::moment(&view.arrives)))
                div { dt { "came at" } dd { span.blank-box {} } }
                div { dt { "delivery note" } dd { span.blank-box.long {} } }
                div { dt { "taken in by" } dd { span.blank-box.long {} } }
            }
            table.lines {
                (widths(&["tick", "packs", "name-column", "box-cell", "box-cell", "lot-cell", "box-cell", "box-cell", "box-cell", "lot-cell"]))
                thead { tr {
                    th.tick {} th.packs { "due" } th { "what" } th { "packs came" } th { "weight" }
                    th { "lot" } th { "last day" } th { "°C" } th { "label as before" } th { "remark" }
                } }
                tbody { @for line in &view.lines { (row(line)) } }
            }
            (notes(&view.notes))
            ul.notes { @for line in word::AT_THE_DOOR { li { (line) } } }
            (foot(&[texts::check_the_label()]))
        }
    };
    document(&title, &body)
}

fn row(line: &SupplierOrderLineView) -> Markup {
    html! {
        tr {
            td.tick { span.box {} }
            td.packs { (line.to_come) }
            td {
                p.name { (line.name) }
                p.remark {
                    (line.holds) @if line.uneven { ", uneven: weigh" }
                    @if let Some(days) = line.least_life_days { ", at least " (days) " days of life" }
                }
                @if line.agreed.is_some_and(|agreed| agreed != line.packs) {
                    p.remark { "ordered " (line.packs) ", " (line.agreed.unwrap_or(0)) " promised" }
                }
                @if line.received > 0 { p.remark { (line.received) " came before" } }
            }
            td.blank {} td.blank {} td.blank {} td.blank {} td.blank {} td.blank {} td.blank {}
        }
    }
}
