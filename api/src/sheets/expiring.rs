//! What goes out of date, on paper: by its end, with what could use it.

use super::{
    page::{document, foot, notes, said},
    texts::{self, expiring as word},
};
use crate::wire::{
    amount::{MoneyView, money_text},
    expiring::{ExpiringRowView, ExpiringView},
};
use maud::{Markup, html};

/// Draws what goes out of date.
#[must_use]
pub fn draw(view: &ExpiringView) -> Markup {
    let body = html! {
        main.sheet.wide {
            p.stamp {
                span { (view.bakery) " · " b { (word::TITLE) } }
                span { (texts::revision(view.plan_revision)) " · " (texts::printed_at(&view.made_at)) }
            }
            header {
                h1 { (word::TITLE) }
                p.load { "until " (texts::full_day(&view.until)) }
            }
            @if view.rows.is_empty() { p { (word::NOTHING) } } @else {
                p { b { (view.total.statement) } }
                (notes(&view.notes))
                table.lines.short {
                    thead { tr {
                        th { "last" } th { "what" } th { "lot" } th { "where" } th { "left over" }
                        th { "money" } th { "could use it" } th { "decided" }
                    } }
                    tbody { @for row in &view.rows { (line(row)) } }
                }
            }
            (foot(&[word::DATES, word::FREEZING]))
        }
    };
    document(word::TITLE, &body)
}

fn line(row: &ExpiringRowView) -> Markup {
    let users: Vec<&str> = row.formulas.iter().chain(&row.products).map(String::as_str).collect();
    let money = |money: &MoneyView| format!("{} {}", money_text(money.minor_units), money.currency);
    html! {
        tr {
            td { b { (texts::moment(&row.last)) } @if row.past { br; b { (word::PAST) } } }
            td { b { (row.item) } @if row.state != "released" { br; (row.state) } }
            td { (row.lot) }
            td { (row.place.as_deref().unwrap_or("no place on record")) }
            td { (said(&row.left_over)) br; span.part { (word::planned(&said(&row.planned))) } }
            td { (row.money.as_ref().map(money).as_deref().unwrap_or("not known")) }
            td { @if users.is_empty() { (word::NO_USE) } @else { (users.join(", ")) } }
            td.blank {}
        }
    }
}
