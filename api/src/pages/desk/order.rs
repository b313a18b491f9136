//! What to send by a cutoff as the plan proposes it, and the orders that are open.

use super::Desk;
use crate::{
    messages::Words,
    pages::{
        Draft,
        field::{self, Field, hidden},
        frame::{
            Column::{Figure, Text},
            columns, wide,
        },
        money,
        supplier_orders::address,
    },
    state::State,
    wire::{
        proposals::{ProposalLineView, ProposalView},
        supplier_order::SupplierOrderRowView,
    },
};
use jiff::Timestamp;
use maud::{Markup, html};

/// Draws a proposal with the button that drafts it; nothing if there is none.
pub(super) fn to_send(
    state: &State,
    words: Words,
    desk: &Desk,
    (draft, order): (&Draft, Option<&ProposalView>),
) -> Markup {
    let Some(order) = order else { return html! {} };
    let title = words
        .tell("desk-to-send", &[("moment", words.moment_on(desk.today, &order.cutoff).into())]);
    html! {
        div.answer {
            h3 { (title) }
            (lines(words, &title, order))
            (sums(words, order))
            p { (words.say(&format!("desk-choice-{}", order.choice))) }
            @match desk.draft_of(order) {
                Some(open) => {
                    p {
                        (words.say("desk-drafted")) " "
                        a.button href=(address(&open.id)) { (open.reference) }
                    }
                }
                None => { (drafting(state, words, draft, order)) }
            }
        }
    }
}

fn lines(words: Words, title: &str, order: &ProposalView) -> Markup {
    html! {
        (wide(title, &html! {
            table {
                (columns(words, &[
                    Text("stock-item"),
                    Figure("desk-packs"),
                    Text("desk-what-for"),
                    Figure("desk-cost"),
                ]))
                tbody { @for line in &order.lines { (row(words, line)) } }
            }
        }))
    }
}

fn row(words: Words, line: &ProposalLineView) -> Markup {
    let packs = |message: &str, packs: i64| words.tell(message, &[("packs", packs.into())]);
    html! {
        tr {
            th scope="row" { (line.name) br; span.hint { (line.pack) } }
            td.number { (line.packs) }
            td {
                (words.say(&format!("desk-pressing-{}", line.pressing)))
                @if line.forward > 0 { br; (packs("desk-forward", line.forward)) }
                @if let Some(more) = &line.next_break {
                    br; (words.tell("desk-next-break", &[
                        ("packs", more.packs.into()), ("money", money(words, &more.saves).into()),
                    ]))
                }
                @if let Some(split) = &line.split {
                    br; (words.tell("desk-split", &[
                        ("packs", split.packs.to_string().into()),
                        ("holds", words.digits(&split.holds).into()),
                        ("money", money(words, &split.saves).into()),
                    ]))
                }
            }
            td.number {
                @match &line.line_cost {
                    Some(cost) => { (money(words, cost)) }
                    None => { (words.say("desk-price-unknown")) }
                }
            }
        }
    }
}

fn sums(words: Words, order: &ProposalView) -> Markup {
    html! {
        dl {
            dt { (words.say("desk-goods")) } dd { b { (money(words, &order.order_value)) } }
            dt { (words.say("desk-minimum")) }
            dd {
                (money(words, &order.minimum_order))
                @if order.gap.minor_units > 0 {
                    @let gap = if order.choice == "fill" { "desk-gap-alone" } else { "desk-gap" };
                    " · " (words.tell(gap, &[("money", money(words, &order.gap).into())]))
                }
            }
            @if order.carriage.minor_units > 0 {
                dt { (words.say("desk-carriage")) } dd { (money(words, &order.carriage)) }
            }
            @if let Some(saves) = &order.saves {
                dt { (words.say("desk-saves")) } dd { (money(words, saves)) }
            }
            dt { (words.say("desk-arrives")) } dd { (words.moment(&order.arrives)) }
        }
    }
}

/// The name of the form of a proposal: a supplier comes once in a minute, while several of its
/// deliveries may have one cutoff before a holiday.
pub(super) fn part(order: &ProposalView) -> String {
    let minute = order.arrives.get(..16).unwrap_or_default().replace(':', "-");
    format!("{}-{minute}", order.supplier)
}

/// The form that makes it a draft.
fn drafting(state: &State, words: Words, draft: &Draft, order: &ProposalView) -> Markup {
    let own = draft.of_part(state, &part(order));
    let (who, button) = (words.say("desk-who"), words.say("desk-draft"));
    let fields = html! {
        (hidden("supplier", &order.supplier))
        (hidden("cutoff", &order.cutoff))
        (Field::text("who", &who).needed().draw(words, &own))
    };
    html! {
        div.not-on-paper { (field::form(words, &own, ("/desk", &button), &fields)) }
    }
}

/// Orders that are being written or on their way.
pub(super) fn open(words: Words, desk: &Desk) -> Markup {
    let title = words.say("desk-open-orders");
    html! {
        @if !desk.open.is_empty() {
            section {
                h2 { (title) }
                (table(words, &title, (&desk.open, desk.now), |code| desk.name(code)))
            }
        }
    }
}

/// Orders as a table, each with a way to it.
pub(in crate::pages) fn table<'a>(
    words: Words,
    title: &str,
    (orders, now): (&'a [SupplierOrderRowView], Timestamp),
    name: impl Fn(&'a str) -> &'a str,
) -> Markup {
    html! {
        (wide(title, &html! {
            table {
                (columns(words, &[
                    Text("desk-order"),
                    Text("receive-supplier"),
                    Text("lot-state"),
                    Text("desk-cutoff"),
                    Text("desk-arrives"),
                    Figure("desk-goods"),
                ]))
                tbody {
                    @for order in orders {
                        tr {
                            th scope="row" { a href=(address(&order.id)) { (order.reference) } }
                            td { (name(&order.supplier)) }
                            td { (standing(words, order, now)) }
                            td { (words.moment(&order.cutoff)) }
                            td { (words.moment(&order.arrives)) }
                            td.number { (money(words, &order.goods)) }
                        }
                    }
                }
            }
        }))
    }
}

/// How far an order is, and whether it is late.
fn standing(words: Words, order: &SupplierOrderRowView, now: Timestamp) -> Markup {
    let past = |at: &str| at.parse::<Timestamp>().is_ok_and(|at| at < now);
    let warning = match order.state {
        "draft" if past(&order.cutoff) => Some("supplier-order-cutoff-gone"),
        "sent" | "acknowledged" | "part-received" if past(&order.arrives) => {
            Some("supplier-order-late")
        }
        _ => None,
    };
    html! {
        (words.say(&format!("supplier-order-state-{}", order.state)))
        @if let Some(warning) = warning { br; span.loud { (words.say(warning)) } }
    }
}
