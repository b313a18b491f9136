//! The shortage sheet on paper: supplier by supplier in order of cutoff.

use super::{
    chart::{self, Level},
    page::{Stamp, document, foot, notes, said, stamp, widths},
    texts::{self, word},
};
use crate::wire::{
    amount::{QuantityView, money_text},
    day_board::BoardLeverView,
    proposals::ProposalView,
    shortages::{
        BalanceView, HitView, LeverView, ShortageLineView, ShortagesView, SupplierGroupView,
    },
};
use jiff::Timestamp;
use maud::{Markup, html};
use std::collections::BTreeSet;

/// Columns of a line; its balance, the orders that it hits and what could stand in follow
/// below it, across the sheet.
const COLUMNS: [(&str, &str); 13] = [
    ("item", "ingredient"),
    ("sum", "on hand"),
    ("due", "on order, due"),
    ("sum", "needed"),
    ("sum", "safety"),
    ("by", "short by"),
    ("runs-out", "runs out"),
    ("cover", "open days of cover"),
    ("pack", "pack"),
    ("few", "packs"),
    ("cost", "cost"),
    ("here", "arrives"),
    ("cover", "least life, days"),
];

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
    let now = view.groups.iter().filter(|group| !group.can_wait);
    let later: Vec<&SupplierGroupView> =
        view.groups.iter().filter(|group| group.can_wait).collect();
    let body = html! {
        main.sheet.wide {
            (stamp(&own, None))
            header { h1 { (word::SHORTAGES) } p.load { "up to " (texts::day(&view.until)) } }
            @if view.groups.is_empty() { p { (word::NOTHING_SHORT) } }
            @for (number, group) in now.enumerate() { (supplier(group, number)) }
            @if !view.other_orders.is_empty() { (orders(&view.other_orders)) }
            @if !later.is_empty() { (folded(&later)) }
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
        (Some(cutoff), Some(minutes)) => format!(
            "order by {} ({} h {:02} min left)",
            texts::moment(cutoff),
            minutes / 60,
            minutes % 60
        ),
        _ if group.gone => "NO DELIVERY COMES IN TIME".to_owned(),
        _ => "no hurry".to_owned(),
    }
}

fn name_of(group: &SupplierGroupView) -> &str {
    group.name.as_deref().or(group.supplier.as_deref()).unwrap_or("No supplier on record")
}

fn supplier(group: &SupplierGroupView, number: usize) -> Markup {
    html! {
        section {
            h2.gone[group.gone] { (name_of(group)) " " span.when { (cutoff(group)) } }
            table.lines.short {
                (widths(&COLUMNS.map(|(class, _)| class)))
                thead { tr { @for (class, name) in COLUMNS { th class=(class) { (name) } } } }
                @for (row, one) in group.lines.iter().enumerate() {
                    (line(one, &format!("b{number}-{row}")))
                }
            }
            (value(group))
            @if let Some(order) = &group.order { (order_to_send(order)) }
        }
    }
}

fn line(line: &ShortageLineView, id: &str) -> Markup {
    html! {
        tbody.item {
            tr {
                td { p.name { (line.name) } p.remark { (line.pressing) } }
                td { (said(&line.on_hand)) }
                td {
                    (said(&line.on_order))
                    @for due in &line.due {
                        p.remark { (texts::moment(&due.at)) @if line.due.len() > 1 { ": " (said(&due.quantity)) } }
                    }
                }
                td { (said(&line.needed)) }
                td { (said(&line.safety_stock)) }
                td.by {
                    @match &line.short_as_bought {
                        Some(bought) => {
                            p { (bought.amount) " " (bought.unit) }
                            p.remark { "(" (line.printed.amount) " " (line.printed.unit) ")" }
                        }
                        None => { (line.printed.amount) " " (line.printed.unit) }
                    }
                }
                td {
                    @if let Some(out) = &line.runs_out {
                        p { b { (texts::moment(&out.at)) } }
                        p.remark { (out.used_in) " for " (texts::day(&out.service_date)) " lacks " (said(&out.short)) }
                    }
                }
                td { @if let Some(days) = line.days_of_cover { (days) } }
                td {
                    @match &line.pack_as_bought {
                        Some(pack) => { span.whole { (pack) } }
                        None => { "no pack on record" }
                    }
                    @if let (Some(holds), true) = (&line.pack_holds, line.short_as_bought.is_some()) {
                        p.remark.whole { "(" (holds.amount) " " (holds.unit) ")" }
                    }
                }
                td.few { (line.packs) }
                td { @if let Some(cost) = &line.line_cost { (money_text(cost.minor_units)) } }
                td {
                    @if let Some(latest) = &line.latest {
                        @if latest.ring_now { p.loud { "RING NOW" } }
                        (texts::moment(line.arrives.as_ref().unwrap_or(&latest.usable_from)))
                    }
                }
                td { @if let Some(days) = line.least_life_days { (days) } }
            }
            tr.below {
                td colspan="4" { (balance(line, id)) }
                td colspan="3" {
                    @if !line.hits.is_empty() { p.heading { (word::HITS) } }
                    @for hits in line.hits.chunk_by(|a, b| a.service_date == b.service_date) { (hit(hits)) }
                }
                td colspan="6" {
                    @if !line.steps.is_empty() { p.heading { (word::STEPS) } }
                    @for one in &line.steps { (step(one)) }
                    @if line.steps.is_empty() && !line.levers.is_empty() { p.heading { (word::SUBSTITUTE) } }
                    @if line.steps.is_empty() { @for one in &line.levers { (lever(one)) } }
                }
            }
        }
    }
}

/// How the balance goes, with the days at its ends.
fn balance(line: &ShortageLineView, id: &str) -> Markup {
    let levels = levels(line);
    let (Some(first), Some(last)) = (line.balance.first(), line.balance.last()) else {
        return html! {};
    };
    let words = format!(
        "from {} on {} to {} on {}",
        said(&first.quantity),
        texts::moment(&first.at),
        said(&last.quantity),
        texts::moment(&last.at)
    );
    let title = format!("Balance of {}", line.name);
    let safety = whole(&line.safety_stock);
    html! {
        div.balance-row {
            span.remark { (texts::moment(&first.at)) br; (said(&first.quantity)) }
            (chart::balance(id, &title, &words, &levels, safety))
            span.remark { (texts::moment(&last.at)) br; (said(&last.quantity)) }
        }
    }
}

/// The balance of a line as it is drawn.
pub(crate) fn levels(line: &ShortageLineView) -> Vec<Level> {
    let level = |point: &BalanceView| {
        let at: Timestamp = point.at.parse().ok()?;
        Some((at.as_second() / 60, whole(&point.quantity)))
    };
    line.balance.iter().filter_map(level).collect()
}

/// Whole base units: a drawing needs no fraction.
pub(crate) fn whole(quantity: &QuantityView) -> i64 {
    let (units, _) = quantity.amount.split_once('.').unwrap_or((&quantity.amount, ""));
    units.parse().unwrap_or(0)
}

/// Orders of one date that a shortage hits: who ordered, then what.
fn hit(hits: &[HitView]) -> Markup {
    let products: Vec<&str> = hits.iter().map(|hit| hit.name.as_str()).collect();
    let customers: BTreeSet<&str> = hits.iter().flat_map(HitView::names).collect();
    let customers: Vec<&str> = customers.into_iter().collect();
    html! {
        @if let Some(first) = hits.first() {
            p { b { (texts::day(&first.service_date)) } " " (customers.join(", ")) }
            p.remark { (products.join(", ")) }
        }
    }
}

fn lever(one: &LeverView) -> Markup {
    html! {
        p.remark { (one.plain_words()) }
        @for words in one.allergen_words() { p.loud { (words) } }
    }
}

fn step(one: &BoardLeverView) -> Markup {
    html! {
        p.remark {
            "· " (one.what)
            @if let Some(until) = &one.until { ", until " b { (texts::moment(until)) } }
            @if let Some(cost) = &one.cost { ": " b { (cost) } }
        }
    }
}

fn value(group: &SupplierGroupView) -> Markup {
    html! {
        p.sums {
            @if let Some(value) = &group.order_value {
                b { "All lines " (money_text(value.minor_units)) " " (value.currency) }
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

/// One order as it should go out: whole packs, minimum, carriage and breaks considered.
fn order_to_send(order: &ProposalView) -> Markup {
    html! {
        div.send {
            p {
                b { "Order to send by " (texts::moment(&order.cutoff)) ": " }
                @for (at, line) in order.lines.iter().enumerate() {
                    @if at > 0 { ", " }
                    span.whole { b { (line.packs) } " × " (line.name) }
                    @if line.forward > 0 { " (" (line.forward) " brought forward)" }
                    @if line.pressing == "top-up" && line.forward == 0 { " (top-up)" }
                }
                " = " b { (money_text(order.order_value.minor_units)) " " (order.order_value.currency) }
                @if order.carriage.minor_units > 0 { " + carriage " (money_text(order.carriage.minor_units)) }
            }
            p.remark {
                "minimum " (money_text(order.minimum_order.minor_units))
                ", alone " (money_text(order.alone.goods.minor_units))
                ", gap " (money_text(order.gap.minor_units))
                ": " (order.because)
                @if let Some(saves) = &order.saves { "; saves " (money_text(saves.minor_units)) }
                @for line in &order.lines {
                    @if let Some(more) = &line.next_break {
                        "; " (more.packs) " × " (line.name) " cost " (money_text(more.saves.minor_units)) " less"
                    }
                    @if let Some(split) = &line.split {
                        @let saves = money_text(split.saves.minor_units);
                        "; " (texts::split_case(&line.name, split.packs, &split.holds, &saves))
                    }
                }
            }
        }
    }
}

fn orders(orders: &[ProposalView]) -> Markup {
    html! {
        section {
            h2 { "Other orders of these days" }
            @for order in orders { h3 { (order.supplier) } (order_to_send(order)) }
        }
    }
}

/// What a later cutoff still brings in time: small and late, nothing cut.
fn folded(groups: &[&SupplierGroupView]) -> Markup {
    html! {
        section.covered {
            h2 { "Can wait until after the next cutoff" }
            @for group in groups {
                p {
                    b { (name_of(group)) ", " (cutoff(group)) ": " }
                    @for (at, line) in group.lines.iter().enumerate() {
                        @if at > 0 { "; " }
                        (line.name) " short by " (line.printed.amount) " " (line.printed.unit)
                        @if let Some(out) = &line.runs_out { ", runs out " (texts::moment(&out.at)) }
                        ", " (line.packs) " packs"
                    }
                }
                @if let Some(order) = &group.order { (order_to_send(order)) }
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
