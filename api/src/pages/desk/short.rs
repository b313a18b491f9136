//! What runs short of one supplier's goods by one cutoff: how much, for when, whom it hits,
//! and what can be done.

use super::Desk;
use crate::{
    messages::Words,
    pages::{amount, money, today::lever, visit},
    sheets::{
        chart,
        shortages::{levels, names, whole},
    },
    wire::shortages::{HitView, ShortageLineView, SupplierGroupView},
};
use maud::{Markup, html};
use std::collections::BTreeSet;

/// Draws a group; `order` is what to send by its cutoff.
pub(super) fn group(
    words: Words,
    desk: &Desk,
    group: &SupplierGroupView,
    order: &Markup,
) -> Markup {
    let none = words.say("desk-no-supplier");
    let name = group.name.as_deref().or(group.supplier.as_deref()).unwrap_or(&none);
    html! {
        section.group {
            h2 {
                @match &group.supplier {
                    Some(code) => { a href={ "/suppliers/" (visit::segment(code)) } { (name) } }
                    None => { (name) }
                }
            }
            p.by.loud[group.gone] { (until(words, desk, group)) }
            ul.shorts { @for line in &group.lines { (self::line(words, desk, group, line)) } }
            (order)
        }
    }
}

/// Until when its goods can be ordered.
fn until(words: Words, desk: &Desk, group: &SupplierGroupView) -> String {
    let on = |at: &String| words.moment_on(desk.today, at);
    match (&group.cutoff, group.minutes_left) {
        (Some(cutoff), Some(minutes)) if minutes < 0 => {
            words.tell("desk-cutoff-gone", &[("moment", on(cutoff).into())])
        }
        (Some(cutoff), Some(minutes)) => words.tell(
            "desk-ring-by",
            &[
                ("moment", on(cutoff).into()),
                ("hours", (minutes / 60).to_string().into()),
                ("minutes", (minutes % 60).to_string().into()),
            ],
        ),
        _ if group.gone => words.say("desk-no-delivery"),
        _ => words.say("desk-no-hurry"),
    }
}

fn line(words: Words, desk: &Desk, group: &SupplierGroupView, line: &ShortageLineView) -> Markup {
    let must = line.pressing == "must";
    html! {
        li id={ "short-" (line.item) } {
            h3 {
                a href={ "/stock/" (visit::segment(&line.item)) } { (line.name) }
                @if must && group.gone { " " span.loud { (words.say("desk-line-undecided")) } }
                @if !must { " " span.near { (words.say("desk-top-up")) } }
            }
            @if must { p.what { (lacks(words, line)) } }
            @if let Some(out) = &line.runs_out {
                p {
                    (words.tell("desk-runs-out", &[
                        ("moment", words.moment(&out.at).into()),
                        ("user", out.used_in.told(words).into()),
                        ("day", words.day_of(&out.service_date).into()),
                    ]))
                    " " a href=(out.why) { (words.say("desk-why")) }
                }
            }
            (balance(words, line))
            (facts(words, desk, line, group.gone))
            (hits(words, &line.hits))
            @if !line.steps.is_empty() {
                h4 { (words.say("desk-levers")) }
                ol.levers { @for one in &line.steps { li { (lever(words, desk.today, one)) } } }
            }
        }
    }
}

/// How much is short, in the unit in which it is bought too.
fn lacks(words: Words, line: &ShortageLineView) -> String {
    let printed = words.amount(&line.printed.amount, line.printed.unit);
    let by = match &line.short_as_bought {
        Some(bought) => format!("{} ({printed})", words.amount(&bought.amount, bought.unit)),
        None => printed,
    };
    words.tell("desk-short-by", &[("amount", by.into())])
}

fn facts(words: Words, desk: &Desk, line: &ShortageLineView, gone: bool) -> Markup {
    html! {
        dl {
            dt { (words.say("stock-on-hand")) } dd { (amount(words, &line.on_hand)) }
            @if !line.due.is_empty() {
                dt { (words.say("stock-expected")) }
                dd {
                    (amount(words, &line.on_order))
                    @for due in &line.due { ", " (words.moment_on(desk.today, &due.at)) }
                }
            }
            dt { (words.say("desk-needed")) } dd { (amount(words, &line.needed)) }
            @if line.safety_stock.amount != "0" {
                dt { (words.say("desk-safety")) } dd { (amount(words, &line.safety_stock)) }
            }
            dt { (words.say("desk-pack")) }
            dd {
                @match &line.pack_as_bought {
                    Some(pack) => {
                        (line.packs) " × " (words.digits(pack))
                        @match &line.line_cost {
                            Some(cost) => { " = " (money(words, cost)) }
                            None => { " · " (words.say("desk-price-unknown")) }
                        }
                        @if let Some(days) = line.least_life_days {
                            " · " (words.tell("desk-least-life", &[("days", days.into())]))
                        }
                    }
                    None => { (words.say("desk-no-pack")) }
                }
            }
            // What can no longer be ordered comes by no delivery of ours.
            @if let Some(arrives) = line.arrives.as_ref().filter(|_| !gone) {
                dt { (words.say("desk-arrives")) } dd { (words.moment(arrives)) }
            }
        }
    }
}

fn balance(words: Words, line: &ShortageLineView) -> Markup {
    let (Some(first), Some(last)) = (line.balance.first(), line.balance.last()) else {
        return html! {};
    };
    let title = words.tell("desk-balance", &[("item", line.name.as_str().into())]);
    let (from, to) = (amount(words, &first.quantity), amount(words, &last.quantity));
    let said = words.tell(
        "desk-balance-words",
        &[
            ("from", from.as_str().into()),
            ("start", words.moment(&first.at).into()),
            ("to", to.as_str().into()),
            ("end", words.moment(&last.at).into()),
        ],
    );
    html! {
        div.level {
            span { (from) }
            (chart::balance(&format!("level-{}", line.item), &title, &said, &levels(line), whole(&line.safety_stock)))
            span { (to) ", " (words.moment(&last.at)) }
        }
    }
}

/// Orders that it hits, date by date: who ordered, then what.
fn hits(words: Words, hits: &[HitView]) -> Markup {
    html! {
        @if !hits.is_empty() {
            h4 { (words.say("today-whom")) }
            ul {
                @for of_date in hits.chunk_by(|one, next| one.service_date == next.service_date) {
                    @let customers: BTreeSet<String> = of_date.iter().flat_map(|hit| names(words, hit)).collect();
                    @let products: Vec<&str> = of_date.iter().map(|hit| hit.name.as_str()).collect();
                    @if let Some(first) = of_date.first() {
                        li {
                            a href={ "/orders?date=" (first.service_date) } { (words.day_of(&first.service_date)) }
                            ": " (customers.into_iter().collect::<Vec<_>>().join(", "))
                            br; span.hint { (products.join(", ")) }
                        }
                    }
                }
            }
        }
    }
}

/// What is covered, small and last.
pub(super) fn covered(words: Words, lines: &[ShortageLineView]) -> Markup {
    html! {
        @if !lines.is_empty() {
            details {
                summary { (words.tell("desk-covered", &[("count", lines.len().into())])) }
                ul {
                    @for line in lines {
                        li {
                            (line.name) ": "
                            (words.tell("desk-left", &[("amount", amount(words, &line.left).into())]))
                        }
                    }
                }
            }
        }
    }
}
