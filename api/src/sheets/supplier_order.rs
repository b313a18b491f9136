//! An order to a supplier on paper.

use super::{
    page::{Stamp, document, notes, stamp, widths},
    texts,
};
use crate::wire::{
    amount::{MoneyView, money_text},
    supplier_order::{SupplierOrderLineView, SupplierOrderView},
};
use maud::{Markup, html};

/// The words of orders to suppliers.
pub(super) mod word {
    /// Title of an order.
    pub(in crate::sheets) const ORDER: &str = "Order";
    /// Title of the sheet for the door.
    pub(in crate::sheets) const RECEIVING: &str = "Receiving";
    /// What the door checks, beside the boxes.
    pub(in crate::sheets) const AT_THE_DOOR: [&str; 4] = [
        "Count and weigh before you sign. What is short, over, open, wet or past its date is \
         written down here and on the delivery note.",
        "Write down the temperature of chilled and frozen goods. The limit is in the site's own \
         food-safety plan: this sheet sets none.",
        "Read the list of ingredients. Another brand or another list: put it on hold until its \
         allergens are read anew.",
        "Lift with two what is over 25 kg.",
    ];
}

/// Draws an order as its supplier reads it.
#[must_use]
pub fn draw(view: &SupplierOrderView) -> Markup {
    let title = format!("{} {}", word::ORDER, view.reference);
    let body = html! {
        main.sheet.order-form {
            (top(view, word::ORDER))
            dl.facts {
                (fact("from", &view.bakery))
                (fact("to", &view.supplier_name))
                (fact("order by", &texts::moment(&view.cutoff)))
                (fact("delivery by", &texts::moment(&view.arrives)))
                @if let Some(theirs) = &view.their_reference { (fact("your number", theirs)) }
            }
            table.lines {
                (widths(&["number", "packs", "pack", "name-column", "price", "cost"]))
                thead { tr {
                    th.number { "no." } th.packs { "packs" } th { "of" } th { "what" }
                    th.price { "price of one" } th.cost { "line" }
                } }
                tbody { @for line in &view.lines { (row(line)) } }
            }
            (sums(view))
            // What we should know is not the supplier's: it stands on drafts alone.
            @if view.state == "draft" { (notes(&view.notes)) }
        }
    };
    document(&title, &body)
}

/// The head of a sheet about one order.
pub(super) fn top(view: &SupplierOrderView, title: &str) -> Markup {
    let drafted = view.history.last();
    let own = Stamp {
        bakery: &view.bakery,
        title,
        work_date: view.arrives.get(..10).unwrap_or_default(),
        plan_revision: drafted.map_or(0, |event| event.plan_revision),
        made_at: &view.happened_at,
    };
    html! {
        (stamp(&own, None))
        header {
            h1 { (title) " " (view.reference) }
            p.load { (view.state.to_uppercase()) }
        }
        p { (view.state) " by " (view.who) " " (texts::moment(&view.happened_at)) }
    }
}

pub(super) fn fact(name: &str, value: &str) -> Markup {
    html! { div { dt { (name) } dd { (value) } } }
}

fn row(line: &SupplierOrderLineView) -> Markup {
    html! {
        tr {
            td.number { (line.line) }
            td.packs { (line.packs) }
            td { (line.holds) @if line.uneven { p.remark { "about" } } }
            td {
                p.name { (line.name) }
                p.remark { (line.pack) @if let Some(gtin) = &line.gtin { ", GTIN " (gtin) } }
                @if let Some(agreed) = line.agreed.filter(|&agreed| agreed != line.packs) {
                    p.loud {
                        (agreed) " of " (line.packs) " come"
                        @if let Some(reason) = &line.cut_reason { ": " (reason) }
                    }
                }
            }
            td.price {
                @match &line.stated_price {
                    Some(price) => { (price) }
                    None => { "price not known" }
                }
                @if line.surcharge.minor_units > 0 { p.remark { "+ " (line.surcharge.said()) " for splitting" } }
            }
            td.cost { @if let Some(cost) = &line.line_cost { (money_text(cost.minor_units)) } }
        }
    }
}

fn sums(view: &SupplierOrderView) -> Markup {
    let line = |name: &str, money: &MoneyView, sign: &str| {
        html! {
            @if money.minor_units != 0 { tr { th { (name) } td { (sign) (money.said()) } } }
        }
    };
    html! {
        table.totals {
            tr { th { "goods" } td { (view.goods.said()) } }
            (line("off for the value", &view.off, "- "))
            (line("carriage below the minimum", &view.carriage, ""))
            (line("deposits", &view.deposits, ""))
            @for tax in &view.tax { (line(&format!("tax {} %", tax.percent), &tax.money, "")) }
            tr.total { th { "total" } td { (view.total.said()) } }
        }
    }
}
