//! What goes out of date, on paper: by its end, with what could use it.

use super::{
    page::{document, foot, notes, said},
    texts,
};
use crate::messages::Words;
use crate::wire::{
    amount::{MoneyView, money_text},
    expiring::{ExpiringRowView, ExpiringView},
};
use maud::{Markup, html};

/// Draws what goes out of date.
#[must_use]
pub fn draw(words: Words, view: &ExpiringView) -> Markup {
    let body = html! {
        main.sheet.wide {
            p.stamp {
                span { (view.bakery) " · " b { (words.say("expiring-title")) } }
                span { (texts::revision(words, view.plan_revision)) " · " (texts::printed_at(words, &view.made_at)) }
            }
            header {
                h1 { (words.say("expiring-title")) }
                p.load { (words.say("sheet-until")) " " (words.year_day(&view.until)) }
            }
            @if view.rows.is_empty() { p { (words.say("expiring-nothing")) } } @else {
                p { b { (view.total.statement.told(words)) } }
                (notes(words, &view.notes))
                table.lines.short {
                    thead { tr {
                        th { (words.say("expiring-last")) } th { (words.say("sheet-what")) } th { (words.say("sheet-lot")) } th { (words.say("sheet-where")) } th { (words.say("expiring-left-over")) }
                        th { (words.say("expiring-money")) } th { (words.say("expiring-could-use-it")) } th { (words.say("sheet-decided")) }
                    } }
                    tbody { @for row in &view.rows { (line(words, row)) } }
                }
            }
            (foot(words, &[words.say("expiring-dates"), words.say("expiring-freezing")]))
        }
    };
    document(words, &words.say("expiring-title"), &body)
}

fn line(words: Words, row: &ExpiringRowView) -> Markup {
    let users = row.formulas.iter().chain(&row.products);
    let users: Vec<String> = users.map(|user| user.told(words)).collect();
    let money = |money: &MoneyView| {
        format!("{} {}", words.digits(&money_text(money.minor_units)), money.currency)
    };
    html! {
        tr {
            td { b { (words.moment(&row.last)) } @if row.past { br; b { (words.say("expiring-past")) } } }
            td { b { (row.item.told(words)) } @if row.state != "released" { br; (words.listed("lot-state-", row.state)) } }
            td { (row.lot) }
            td { (row.place.as_ref().map_or_else(|| words.say("sheet-no-place-on-record"), |place| place.told(words))) }
            td { (said(words, &row.left_over)) br; span.part { (words.tell("expiring-planned", &[("amount", said(words, &row.planned).into())])) } }
            td { (row.money.as_ref().map(money).as_deref().map_or_else(|| words.say("sheet-not-known"), str::to_owned)) }
            td { @if users.is_empty() { (words.say("expiring-no-use")) } @else { (users.join(", ")) } }
            td.blank {}
        }
    }
}
