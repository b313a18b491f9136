//! An order to a supplier on paper.

use super::page::{Stamp, document, notes, stamp, widths};
use crate::messages::Words;
use crate::wire::{
    amount::{MoneyView, money_text},
    supplier_order::{SupplierOrderLineView, SupplierOrderView},
};
use maud::{Markup, html};

/// Draws an order as its supplier reads it.
#[must_use]
pub fn draw(words: Words, view: &SupplierOrderView) -> Markup {
    let title = format!("{} {}", words.say("order-form-title"), view.reference);
    let body = html! {
        main.sheet.order-form {
            (top(words, view, words.say("order-form-title")))
            dl.facts {
                (fact(&words.say("order-form-from"), &view.bakery))
                (fact(&words.say("order-form-to"), &view.supplier_name))
                (fact(&words.say("order-form-order-by"), &words.moment(&view.cutoff)))
                (fact(&words.say("order-form-delivery-by"), &words.moment(&view.arrives)))
                @if let Some(theirs) = &view.their_reference { (fact(&words.say("order-form-your-number"), theirs)) }
            }
            table.lines {
                (widths(&["number", "packs", "pack", "name-column", "price", "cost"]))
                thead { tr {
                    th.number { (words.say("sheet-no")) } th.packs { (words.say("sheet-packs")) } th { (words.say("order-form-of")) } th { (words.say("sheet-what")) }
                    th.price { (words.say("order-form-price-of-one")) } th.cost { (words.say("order-form-line")) }
                } }
                tbody { @for line in &view.lines { (row(words, line)) } }
            }
            (sums(words, view))
            // What we should know is not the supplier's: it stands on drafts alone.
            @if view.state == "draft" { (notes(words, &view.notes)) }
        }
    };
    document(words, &title, &body)
}

/// The head of a sheet about one order.
pub(super) fn top(words: Words, view: &SupplierOrderView, title: String) -> Markup {
    let drafted = view.history.last();
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: title.clone(),
        work_date: view.arrives.get(..10).unwrap_or_default(),
        plan_revision: drafted.map_or(0, |event| event.plan_revision),
        made_at: &view.happened_at,
    };
    let state = words.listed("order-form-state-", view.state);
    html! {
        (stamp(&own, None))
        header {
            h1 { (title) " " (view.reference) }
            p.load { (state.to_uppercase()) }
        }
        p { (words.tell("order-form-state-by", &[("state", state.into()), ("who", view.who.as_str().into()), ("moment", words.moment(&view.happened_at).into())])) }
    }
}

pub(super) fn fact(name: &str, value: &str) -> Markup {
    html! { div { dt { (name) } dd { (value) } } }
}

fn row(words: Words, line: &SupplierOrderLineView) -> Markup {
    html! {
        tr {
            td.number { (line.line) }
            td.packs { (line.packs) }
            td { (words.said(&line.holds)) @if line.uneven { p.remark { (words.say("order-form-about")) } } }
            td {
                p.name { (line.name) }
                p.remark { (line.pack) @if let Some(gtin) = &line.gtin { ", " (words.say("order-form-gtin")) " " (gtin) } }
                @if let Some(agreed) = line.agreed.filter(|&agreed| agreed != line.packs) {
                    p.loud {
                        (agreed) " " (words.say("order-form-of")) " " (line.packs) " " (words.say("order-form-come"))
                        @if let Some(reason) = &line.cut_reason { ": " (reason) }
                    }
                }
            }
            td.price {
                @match &line.stated_price {
                    Some(price) => { (price.told(words)) }
                    None => { (words.say("order-form-price-not-known")) }
                }
                @if line.surcharge.minor_units > 0 { p.remark { "+ " (words.digits(&line.surcharge.said())) " " (words.say("order-form-for-splitting")) } }
            }
            td.cost { @if let Some(cost) = &line.line_cost { (words.digits(&money_text(cost.minor_units))) } }
        }
    }
}

fn sums(words: Words, view: &SupplierOrderView) -> Markup {
    let line = |name: &str, money: &MoneyView, sign: &str| {
        html! {
            @if money.minor_units != 0 { tr { th { (name) } td { (sign) (words.digits(&money.said())) } } }
        }
    };
    html! {
        table.totals {
            tr { th { (words.say("order-form-goods")) } td { (words.digits(&view.goods.said())) } }
            (line(&words.say("order-form-off-for-the-value"), &view.off, "- "))
            (line(&words.say("order-form-carriage-below-the-minimum"), &view.carriage, ""))
            (line(&words.say("order-form-deposits"), &view.deposits, ""))
            @for tax in &view.tax { (line(&words.tell("order-form-tax", &[("percent", words.digits(&tax.percent).into())]), &tax.money, "")) }
            tr.total { th { (words.say("order-form-total")) } td { (words.digits(&view.total.said())) } }
        }
    }
}
