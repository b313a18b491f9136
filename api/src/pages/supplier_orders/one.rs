//! One order to a supplier: its lines, its sums, and all that happened to it.

use super::{address, lines::choices, steps};
use crate::{
    messages::Words,
    pages::{Draft, Page, Shown, frame::wide, money, visit},
    routes::supplier_orders as orders,
    service::bakery,
    state::State,
    wire::supplier_order::{SupplierOrderEventView, SupplierOrderLineView, SupplierOrderView},
};
use jiff::Timestamp;
use maud::{Markup, html};

pub(super) fn page(state: &State, words: Words, id: &str, draft: &Draft) -> Shown {
    let order = orders::read(state, id)?;
    let bakery = state.store.read(|tx| bakery::load(state, tx))?;
    let packs = choices(words, &bakery, &order.supplier);
    let title = [
        ("reference", order.reference.as_str().into()),
        ("supplier", order.supplier_name.as_str().into()),
    ];
    let main = html! {
        (head(words, &order, state.now()))
        (lines(words, &order))
        (sums(words, &order))
        @if !order.notes.is_empty() { ul { @for note in &order.notes { li { (note.told(words)) } } } }
        (steps::draw(state, words, (&order, &packs), draft))
        (history(words, &order.history))
    };
    Ok(Page { title: words.tell("supplier-order-title", &title), main })
}

/// How far it is, and what of that is late.
fn head(words: Words, order: &SupplierOrderView, now: Timestamp) -> Markup {
    let expected = order.next.contains(&"receive");
    let late = expected && order.arrives.parse::<Timestamp>().is_ok_and(|at| at < now);
    html! {
        p.state { b { (words.say(&format!("supplier-order-state-{}", order.state))) } }
        @if order.minutes_left.is_some_and(|minutes| minutes < 0) {
            p.loud { (words.say("supplier-order-cutoff-gone")) }
        }
        @if late { p.loud { (words.say("supplier-order-late")) } }
        dl {
            dt { (words.say("receive-supplier")) }
            dd { a href={ "/suppliers/" (visit::segment(&order.supplier)) } { (order.supplier_name) } }
            dt { (words.say("desk-cutoff")) }
            dd {
                (words.moment(&order.cutoff))
                @if let Some(minutes) = order.minutes_left.filter(|minutes| *minutes >= 0) {
                    " · " (words.tell("supplier-order-left", &[
                        ("hours", (minutes / 60).to_string().into()),
                        ("minutes", (minutes % 60).to_string().into()),
                    ]))
                }
            }
            dt { (words.say("desk-arrives")) } dd { (words.moment(&order.arrives)) }
            @if let Some(theirs) = &order.their_reference {
                dt { (words.say("supplier-order-theirs")) } dd { (theirs) }
            }
        }
        @if expected {
            p.links {
                a.button href={ (address(&order.id)) "/goods-in" } { (words.say("supplier-order-receive")) }
                a href={ "/v1/supplier-orders/" (order.id) "/receiving-sheet" } {
                    (words.say("supplier-order-receiving-sheet"))
                }
            }
        }
    }
}

fn lines(words: Words, order: &SupplierOrderView) -> Markup {
    let answered = order.lines.iter().any(|line| line.agreed.is_some());
    let came = order.lines.iter().any(|line| line.received + line.refused > 0);
    html! {
        (wide(&words.say("supplier-order-lines"), &html! {
            table {
                thead {
                    tr {
                        th scope="col" { (words.say("stock-item")) }
                        th.number scope="col" { (words.say("desk-packs")) }
                        @if answered { th.number scope="col" { (words.say("supplier-order-agreed")) } }
                        @if came {
                            th.number scope="col" { (words.say("supplier-order-received")) }
                            th.number scope="col" { (words.say("supplier-order-refused")) }
                        }
                        @if answered || came { th.number scope="col" { (words.say("supplier-order-to-come")) } }
                        th.number scope="col" { (words.say("desk-cost")) }
                    }
                }
                tbody { @for line in &order.lines { (line_of(words, line, (answered, came))) } }
            }
        }))
    }
}

fn line_of(words: Words, line: &SupplierOrderLineView, (answered, came): (bool, bool)) -> Markup {
    let agreed = line.agreed.unwrap_or(line.packs);
    html! {
        tr {
            th scope="row" {
                a href={ "/stock/" (visit::segment(&line.item)) } { (line.name) }
                br; span.hint { (words.digits(&line.holds)) " · " (line.pack) }
                @if let Some(gtin) = &line.gtin { br; span.hint { (words.tell("supplier-order-gtin", &[("gtin", gtin.as_str().into())])) } }
            }
            td.number { (line.packs) }
            @if answered {
                td.number.loud[agreed < line.packs] {
                    (agreed)
                    @if let Some(reason) = &line.cut_reason { br; (reason) }
                }
            }
            @if came {
                td.number { (line.received) }
                td.number.loud[line.refused > 0] { (line.refused) }
            }
            @if answered || came { td.number { (line.to_come) } }
            td.number {
                @match &line.line_cost {
                    Some(cost) => { (money(words, cost)) }
                    None => { (words.say("desk-price-unknown")) }
                }
                @if let Some(price) = &line.stated_price {
                    br; span.hint { (price.told(words)) }
                }
            }
        }
    }
}

fn sums(words: Words, order: &SupplierOrderView) -> Markup {
    html! {
        dl {
            dt { (words.say("desk-goods")) } dd { b { (money(words, &order.goods)) } }
            dt { (words.say("desk-minimum")) }
            dd {
                (money(words, &order.minimum_order))
                @if order.gap.minor_units > 0 {
                    " · " (words.tell("desk-gap", &[("money", money(words, &order.gap).into())]))
                }
            }
            @for (name, sum) in [
                ("supplier-order-off", &order.off),
                ("desk-carriage", &order.carriage),
                ("supplier-order-deposits", &order.deposits),
            ] {
                @if sum.minor_units != 0 { dt { (words.say(name)) } dd { (money(words, sum)) } }
            }
            @for tax in &order.tax {
                dt { (words.tell("supplier-order-tax", &[("percent", words.digits(&tax.percent).into())])) }
                dd { (money(words, &tax.money)) }
            }
            dt { (words.say("supplier-order-total")) } dd { b { (money(words, &order.total)) } }
        }
    }
}

fn history(words: Words, events: &[SupplierOrderEventView]) -> Markup {
    html! {
        section {
            h2 { (words.say("supplier-order-history")) }
            ol.versions {
                @for event in events {
                    li {
                        b { (words.say(&format!("supplier-order-step-{}", event.step))) }
                        " · " (words.moment(&event.happened_at)) " · " (event.who)
                        @if let Some(note) = &event.note { br; (note) }
                        @if let Some(agreed) = event.sent["agreed_with"].as_str() {
                            br; (words.tell("supplier-order-agreed-with", &[("who", agreed.into())]))
                        }
                    }
                }
            }
        }
    }
}
