//! The shortage sheet on paper: supplier by supplier in order of cutoff.

use super::{
    chart::{self, Level},
    page::{Stamp, document, foot, notes, said, stamp, widths},
    texts,
};
use crate::messages::Words;
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
const COLUMNS: [(&str, &str); 11] = [
    ("item", "shortages-column-ingredient"),
    ("sum", "shortages-column-on-hand"),
    ("due", "shortages-column-on-order-due"),
    ("sum", "shortages-column-needed"),
    ("sum", "shortages-column-safety"),
    ("by", "shortages-column-short-by"),
    ("runs-out", "shortages-column-runs-out"),
    ("pack", "shortages-column-pack"),
    ("few", "shortages-column-packs"),
    ("cost", "shortages-column-cost"),
    ("here", "shortages-column-arrives"),
];

/// Draws the shortages of a horizon.
#[must_use]
pub fn draw(words: Words, view: &ShortagesView) -> Markup {
    let title = format!("{} {}", words.say("sheet-shortages"), view.work_date);
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("sheet-shortages"),
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
            header { h1 { (words.say("sheet-shortages")) } p.load { (words.say("sheet-up-to")) " " (words.day_of(&view.until)) } }
            @if view.groups.is_empty() { p { (words.say("shortages-nothing-short")) } }
            @for (number, group) in now.enumerate() { (supplier(words, group, number)) }
            @if !view.other_orders.is_empty() { (orders(words, &view.other_orders)) }
            @if !later.is_empty() { (folded(words, &later)) }
            @if !view.covered.is_empty() { (covered(words, &view.covered)) }
            (notes(words, &view.notes))
            (foot(words, &[words.say("caution-label")]))
        }
    };
    document(words, &title, &body)
}

fn cutoff(words: Words, group: &SupplierGroupView) -> String {
    match (&group.cutoff, group.minutes_left) {
        (Some(cutoff), Some(minutes)) if minutes < 0 => {
            words.tell("shortages-cutoff-gone", &[("moment", words.moment(cutoff).into())])
        }
        (Some(cutoff), Some(minutes)) => words.tell(
            "shortages-order-by",
            &[("moment", words.moment(cutoff).into()), ("left", texts::hours(minutes).into())],
        ),
        _ if group.gone => words.say("shortages-no-delivery-comes-in-time"),
        _ => words.say("shortages-no-hurry"),
    }
}

fn name_of(words: Words, group: &SupplierGroupView) -> String {
    group
        .name
        .as_deref()
        .or(group.supplier.as_deref())
        .map_or_else(|| words.say("shortages-no-supplier-on-record"), str::to_owned)
}

fn supplier(words: Words, group: &SupplierGroupView, number: usize) -> Markup {
    html! {
        section {
            h2.gone[group.gone] { (name_of(words, group)) " " span.when { (cutoff(words, group)) } }
            table.lines.short {
                (widths(&COLUMNS.map(|(class, _)| class)))
                thead { tr { @for (class, name) in COLUMNS { th class=(class) { (words.say(name)) } } } }
                @for (row, one) in group.lines.iter().enumerate() {
                    (line(words, one, &format!("b{number}-{row}")))
                }
            }
            (value(words, group))
            @if let Some(order) = &group.order { (order_to_send(words, order)) }
        }
    }
}

fn line(words: Words, line: &ShortageLineView, id: &str) -> Markup {
    html! {
        tbody.item {
            tr {
                td { p.name { (line.name) } p.remark { (words.say(&format!("shortages-state-{}", line.pressing))) } }
                td { (said(words, &line.on_hand)) }
                td {
                    (said(words, &line.on_order))
                    @for due in &line.due {
                        p.remark { (words.moment(&due.at)) @if line.due.len() > 1 { ": " (said(words, &due.quantity)) } }
                    }
                }
                td { (said(words, &line.needed)) }
                td { (said(words, &line.safety_stock)) }
                td.by {
                    @match &line.short_as_bought {
                        Some(bought) => {
                            p { (words.amount(&bought.amount, bought.unit)) }
                            p.remark { "(" (words.amount(&line.printed.amount, line.printed.unit)) ")" }
                        }
                        None => { (words.amount(&line.printed.amount, line.printed.unit)) }
                    }
                }
                td {
                    @if let Some(out) = &line.runs_out {
                        p { b { (words.moment(&out.at)) } }
                        @if let Some(days) = line.days_of_cover { p.remark { (words.tell("shortages-lasts", &[("days", days.into())])) } }
                        p.remark { (out.used_in.told(words)) " " (words.say("sheet-for")) " " (words.day_of(&out.service_date)) " " (words.say("shortages-lacks")) " " (said(words, &out.short)) }
                    }
                }
                td {
                    @match &line.pack_as_bought {
                        Some(pack) => { span.whole { (pack) } }
                        None => { (words.say("shortages-no-pack-on-record")) }
                    }
                    @if let (Some(holds), true) = (&line.pack_holds, line.short_as_bought.is_some()) {
                        p.remark.whole { "(" (words.amount(&holds.amount, holds.unit)) ")" }
                    }
                }
                td.few { (line.packs) }
                td { @if let Some(cost) = &line.line_cost { (words.digits(&money_text(cost.minor_units))) } }
                td {
                    @if let Some(latest) = &line.latest {
                        @if latest.ring_now { p.loud { (words.say("shortages-ring-now")) } }
                        (words.moment(line.arrives.as_ref().unwrap_or(&latest.usable_from)))
                    }
                    @if let Some(days) = line.least_life_days { p.remark { (words.tell("shortages-keeps", &[("days", days.into())])) } }
                }
            }
            tr.below {
                td colspan="4" { (balance(words, line, id)) }
                td colspan="3" {
                    @if !line.hits.is_empty() { p.heading { (words.say("shortages-hits")) } }
                    @for hits in line.hits.chunk_by(|a, b| a.service_date == b.service_date) { (hit(words, hits)) }
                }
                td colspan="4" {
                    @if !line.steps.is_empty() { p.heading { (words.say("shortages-steps")) } }
                    @for one in &line.steps { (step(words, one)) }
                    @if line.steps.is_empty() && !line.levers.is_empty() { p.heading { (words.say("shortages-substitute")) } }
                    @if line.steps.is_empty() { @for one in &line.levers { (lever(words, one)) } }
                }
            }
        }
    }
}

/// How the balance goes, with the days at its ends.
fn balance(words: Words, line: &ShortageLineView, id: &str) -> Markup {
    let levels = levels(line);
    let (Some(first), Some(last)) = (line.balance.first(), line.balance.last()) else {
        return html! {};
    };
    let goes = words.tell(
        "shortages-balance-goes",
        &[
            ("first", said(words, &first.quantity).into()),
            ("from", words.moment(&first.at).into()),
            ("last", said(words, &last.quantity).into()),
            ("to", words.moment(&last.at).into()),
        ],
    );
    let title = words.tell("shortages-balance-of", &[("name", line.name.as_str().into())]);
    let safety = whole(&line.safety_stock);
    html! {
        div.balance-row {
            span.remark { (words.moment(&first.at)) br; (said(words, &first.quantity)) }
            (chart::balance(id, &title, &goes, &levels, safety))
            span.remark { (words.moment(&last.at)) br; (said(words, &last.quantity)) }
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
fn hit(words: Words, hits: &[HitView]) -> Markup {
    let products: Vec<&str> = hits.iter().map(|hit| hit.name.as_str()).collect();
    let customers: BTreeSet<String> = hits.iter().flat_map(|hit| names(words, hit)).collect();
    let customers: Vec<String> = customers.into_iter().collect();
    html! {
        @if let Some(first) = hits.first() {
            p { b { (words.day_of(&first.service_date)) } " " (customers.join(", ")) }
            p.remark { (products.join(", ")) }
        }
    }
}

/// Whom a shortage hits, and for what pieces are made ahead of orders.
pub(crate) fn names(words: Words, hit: &HitView) -> Vec<String> {
    let ahead = hit.ahead.iter().map(|word| words.listed("ahead-", word));
    hit.customer_names.iter().cloned().chain(ahead).collect()
}

fn lever(words: Words, one: &LeverView) -> Markup {
    html! {
        p.remark { (one.plain_words().told(words)) }
        @for said in one.allergen_words() { p.loud { (said.told(words)) } }
    }
}

fn step(words: Words, one: &BoardLeverView) -> Markup {
    html! {
        p.remark {
            "· " (one.what.told(words))
            @if let Some(until) = &one.until { ", " (words.say("sheet-until")) " " b { (words.moment(until)) } }
            @if let Some(cost) = &one.cost { ": " b { (cost.told(words)) } }
        }
    }
}

fn value(words: Words, group: &SupplierGroupView) -> Markup {
    html! {
        p.sums {
            @if let Some(value) = &group.order_value {
                b { (words.say("shortages-all-lines")) " " (words.digits(&money_text(value.minor_units))) " " (value.currency) }
            }
            @if let Some(least) = &group.minimum_order {
                span { (words.say("shortages-minimum")) " " (words.digits(&money_text(least.minor_units))) }
            }
            @if let Some(gap) = &group.gap {
                span { (words.say("shortages-gap")) " " (words.digits(&money_text(gap.minor_units))) ": " @if let Some(below) = &group.below_minimum { (below.told(words)) } }
            }
        }
    }
}

/// One order as it should go out: whole packs, minimum, carriage and breaks considered.
fn order_to_send(words: Words, order: &ProposalView) -> Markup {
    html! {
        div.send {
            p {
                b { (words.say("shortages-order-to-send-by")) " " (words.moment(&order.cutoff)) ": " }
                @for (at, line) in order.lines.iter().enumerate() {
                    @if at > 0 { ", " }
                    span.whole { b { (line.packs) } " × " (line.name) }
                    @if line.forward > 0 { " (" (line.forward) " " (words.say("shortages-brought-forward")) ")" }
                    @if line.pressing == "top-up" && line.forward == 0 { " (" (words.say("shortages-top-up")) ")" }
                }
                " = " b { (words.digits(&money_text(order.order_value.minor_units))) " " (order.order_value.currency) }
                @if order.carriage.minor_units > 0 { " + " (words.say("shortages-carriage")) " " (words.digits(&money_text(order.carriage.minor_units))) }
            }
            p.remark {
                (words.say("shortages-minimum")) " " (words.digits(&money_text(order.minimum_order.minor_units)))
                ", " (words.say("shortages-alone")) " " (words.digits(&money_text(order.alone.goods.minor_units)))
                ", " (words.say("shortages-gap")) " " (words.digits(&money_text(order.gap.minor_units)))
                ": " (order.because.told(words))
                @if let Some(saves) = &order.saves { "; " (words.say("shortages-saves")) " " (words.digits(&money_text(saves.minor_units))) }
                @for line in &order.lines {
                    @if let Some(more) = &line.next_break {
                        "; " (more.packs) " × " (line.name) " " (words.say("shortages-cost")) " " (words.digits(&money_text(more.saves.minor_units))) " " (words.say("shortages-less"))
                    }
                    @if let Some(split) = &line.split {
                        @let saves = words.digits(&money_text(split.saves.minor_units));
                        "; " (texts::split_case(words, &line.name, split.packs, &split.holds, &saves))
                    }
                }
            }
        }
    }
}

fn orders(words: Words, orders: &[ProposalView]) -> Markup {
    html! {
        section {
            h2 { (words.say("shortages-other-orders-of-these-days")) }
            @for order in orders { h3 { (order.supplier) } (order_to_send(words, order)) }
        }
    }
}

/// What a later cutoff still brings in time: small and late, nothing cut.
fn folded(words: Words, groups: &[&SupplierGroupView]) -> Markup {
    html! {
        section.covered {
            h2 { (words.say("shortages-can-wait-until-after-the-next")) }
            @for group in groups {
                p {
                    b { (name_of(words, group)) ", " (cutoff(words, group)) ": " }
                    @for (at, line) in group.lines.iter().enumerate() {
                        @if at > 0 { "; " }
                        (line.name) " " (words.say("shortages-short-by")) " " (words.amount(&line.printed.amount, line.printed.unit))
                        @if let Some(out) = &line.runs_out { ", " (words.say("shortages-runs-out")) " " (words.moment(&out.at)) }
                        ", " (line.packs) " " (words.say("sheet-packs"))
                    }
                }
                @if let Some(order) = &group.order { (order_to_send(words, order)) }
            }
        }
    }
}

/// What needs no decision, small and last.
fn covered(words: Words, lines: &[ShortageLineView]) -> Markup {
    html! {
        section.covered {
            h2 { (words.say("shortages-covered-up-to-this-date")) }
            p { @for (at, line) in lines.iter().enumerate() {
                @if at > 0 { ", " }
                (line.name) " (" (said(words, &line.left)) " " (words.say("shortages-left")) ")"
            } }
        }
    }
}
