//! The shortage sheet on paper: supplier by supplier in order of cutoff.

use super::{
    page::{Stamp, document, foot, notes, said, stamp, widths},
    texts::{self, word},
};
use crate::wire::shortages::{
    HitView, LeverView, ShortageLineView, ShortagesView, SubstituteUseView, SupplierGroupView,
    money_text,
};
use maud::{Markup, html};
use std::collections::BTreeSet;

/// Draws the shortages of a horizon.
#[must_use]
pub fn draw(view: &ShortagesView) -> Markup {
    let title = format!("{} {}", word::SHORTAGES, view.work_date);
    let own = Stamp {
        bakery: &view.bakery,
        title: word::SHORTAGES,
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide {
            (stamp(&own, None))
            header { h1 { (word::SHORTAGES) } p.load { "up to " (texts::day(&view.until)) } }
            @if view.groups.is_empty() { p { (word::NOTHING_SHORT) } }
            @for group in &view.groups { (supplier(group)) }
            @if !view.covered.is_empty() { (covered(&view.covered)) }
            (notes(&view.notes))
            (foot(&[texts::check_the_label()]))
        }
    };
    document(&title, &body)
}

fn cutoff(group: &SupplierGroupView) -> String {
    match (&group.cutoff, group.minutes_left) {
        (Some(cutoff), Some(minutes)) if minutes < 0 => {
            format!("CUTOFF GONE {}", texts::moment(cutoff))
        }
        (Some(cutoff), Some(minutes)) => {
            format!(
                "order by {} ({} h {:02} min left)",
                texts::moment(cutoff),
                minutes / 60,
                minutes % 60
            )
        }
        _ if group.gone => "NO DELIVERY COMES IN TIME".to_owned(),
        _ => "no hurry".to_owned(),
    }
}

fn supplier(group: &SupplierGroupView) -> Markup {
    let name =
        group.name.as_deref().or(group.supplier.as_deref()).unwrap_or("No supplier on record");
    html! {
           section {
               h2.gone[group.gone] { (name) " " span.when { (cutoff(group)) } }
               table.lines.short {
    (widths(&["tick", "item", "by", "out", "sum", "sum", "sum", "sum", "fetch", "hits"]))
                   thead {
                       tr {
                           th.tick {} th { (word::INGREDIENT) } th.by { "short by" } th.out { "runs out" }
                           th.sum { "on hand" } th.sum { "on order" } th.sum { "needed" } th.sum { "safety" }
                           th.fetch { "order" } th.hits { "hits" }
                       }
                   }
                   tbody { @for line in &group.lines { (row(line)) } }
               }
               (value(group))
           }
       }
}

fn row(line: &ShortageLineView) -> Markup {
    html! {
        tr {
            td.tick { span.box {} }
            td.item {
                p.name { (line.name) }
                p.remark { (line.pressing) }
                @for one in &line.levers { (lever(one)) }
            }
            td.by { (line.printed.amount) " " (line.printed.unit) }
            td.out {
                @if let Some(out) = &line.runs_out {
                    p { b { (texts::moment(&out.at)) } }
                    p { (out.used_in) " lacks " (said(&out.short)) }
                }
                @if let Some(days) = line.days_of_cover { p.remark { (texts::days_of_cover(days)) } }
            }
            td { (said(&line.on_hand)) }
            td { (said(&line.on_order)) }
            td { (said(&line.needed)) }
            td { (said(&line.safety_stock)) }
            td.fetch {
                @match &line.pack_holds {
                    Some(holds) => { (line.packs) " × " (holds.amount) " " (holds.unit) }
                    None => { "no pack on record" }
                }
                @if let Some(cost) = &line.line_cost {
                    p.remark { (money_text(cost.minor_units)) " " (cost.currency) }
                }
                @if let Some(latest) = &line.latest {
                    @if latest.ring_now { p.loud { "RING NOW" } }
                    p.remark { "here " (texts::moment(&latest.usable_from)) }
                }
            }
            td.hits {
                @for hits in line.hits.chunk_by(|a, b| a.service_date == b.service_date) { (hit(hits)) }
            }
        }
    }
}

/// Orders of one date that a shortage hits: products, then who ordered any of them.
fn hit(hits: &[HitView]) -> Markup {
    let products: Vec<&str> = hits.iter().map(|hit| hit.product.as_str()).collect();
    let customers: BTreeSet<&str> =
        hits.iter().flat_map(|hit| &hit.customers).map(String::as_str).collect();
    let customers: Vec<&str> = customers.into_iter().collect();
    html! {
        @if let Some(first) = hits.first() {
            p { b { (texts::day(&first.service_date)) } " " (products.join(", ")) }
            p.remark { "for " (customers.join(", ")) }
        }
    }
}

fn lever(one: &LeverView) -> Markup {
    let uses = |part: &SubstituteUseView| {
        format!("{} {} {}", part.quantity.amount, part.quantity.unit, part.item)
    };
    html! {
        p.remark {
            @if let Some(lot) = &one.lot {
                "lot " (lot) " is on hold: quality may release " (one.frees.amount) " " (one.frees.unit)
            } @else {
                "instead: " (one.uses.iter().map(uses).collect::<Vec<_>>().join(" + "))
            }
            @if !one.enough { ", covers part of it" }
            @if one.label_change { ", label changes" }
            @if one.needs_sign_off { ", to be signed for" }
        }
        @if !one.adds_contains.is_empty() {
            p.loud { "BRINGS IN " (one.adds_contains.join(", ")) }
        }
        @if !one.adds_may_contain.is_empty() {
            p.loud { "MAY BRING IN " (one.adds_may_contain.join(", ")) }
        }
        @if !one.unknown.is_empty() {
            p.loud { "allergens not known: " (one.unknown.join(", ")) }
        }
    }
}

fn value(group: &SupplierGroupView) -> Markup {
    html! {
        p.sums {
            @if let Some(value) = &group.order_value {
                b { "Order value " (money_text(value.minor_units)) " " (value.currency) }
            }
            @if let Some(least) = &group.minimum_order {
                span { "minimum " (money_text(least.minor_units)) }
            }
            @if let Some(gap) = &group.gap {
                span { "gap " (money_text(gap.minor_units)) ": " (group.below_minimum.as_deref().unwrap_or("")) }
            }
        }
    }
}

/// What needs no decision, small and last.
fn covered(lines: &[ShortageLineView]) -> Markup {
    html! {
        section.covered {
            h2 { "Covered up to this date" }
            p { @for (at, line) in lines.iter().enumerate() {
                @if at > 0 { ", " }
                (line.name) " (" (said(&line.left)) " left)"
            } }
        }
    }
}
