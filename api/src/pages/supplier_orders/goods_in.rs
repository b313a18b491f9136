//! The goods of an order as they come: line by line against what was promised.

use super::address;
use crate::{
    messages::Words,
    pages::{
        Draft, Page, Shown,
        field::{self, Field, hidden},
    },
    routes::supplier_orders as orders,
    service::bakery,
    state::State,
    wire::supplier_order::{SupplierOrderLineView, SupplierOrderView},
};
use maud::{Markup, html};

/// Units in which what came is weighed.
const UNITS: [&str; 5] = ["g", "kg", "mL", "L", "each"];

pub(super) fn page(state: &State, words: Words, id: &str, draft: &Draft) -> Shown {
    let order = orders::read(state, id)?;
    let bakery = state.store.read(|tx| bakery::load(state, tx))?;
    let places = bakery.lists().places.iter();
    let places: Vec<_> = places.map(|place| (place.code.to_string(), place.name.clone())).collect();
    let title = [
        ("reference", order.reference.as_str().into()),
        ("supplier", order.supplier_name.as_str().into()),
    ];
    let main = html! {
        p.state { b { (words.say(&format!("supplier-order-state-{}", order.state))) } }
        @if order.next.contains(&"receive") { (taking_in(words, &order, &places, draft)) }
        @else { p { (words.say("goods-in-over")) } }
        p.links {
            a href="/receiving" { (words.say("goods-in-others")) }
            a href="/stock" { (words.say("stock-title")) }
        }
    };
    Ok(Page { title: words.tell("goods-in-title", &title), main })
}

fn taking_in(
    words: Words,
    order: &SupplierOrderView,
    places: &[(String, String)],
    draft: &Draft,
) -> Markup {
    let (who, note, button) =
        (words.say("desk-who"), words.say("supplier-order-note"), words.say("receive-book"));
    let waited = order.lines.iter().enumerate().filter(|(_, line)| line.to_come > 0);
    let fields = html! {
        (field::fault_of(words, draft, "lines"))
        @for (row, line) in waited { (line_of(words, (row, line), places, draft)) }
        (Field::text("who", &who).needed().draw(words, draft))
        (Field::text("note", &note).draw(words, draft))
    };
    html! {
        p { (words.tell("goods-in-due", &[("moment", words.moment(&order.arrives).into())])) }
        p.hint { (words.say("goods-in-hint")) " " (words.say("receive-label")) }
        p.links {
            a href={ "/v1/supplier-orders/" (order.id) "/receiving-sheet" } {
                (words.say("supplier-order-receiving-sheet"))
            }
        }
        (field::form(words, draft, (&format!("{}/goods-in", address(&order.id)), &button), &fields))
    }
}

fn line_of(
    words: Words,
    (row, line): (usize, &SupplierOrderLineView),
    places: &[(String, String)],
    draft: &Draft,
) -> Markup {
    let at = |field: &str| format!("lines/{row}/{field}");
    let label = |name: &str| words.say(name);
    let packs = words.tell("goods-in-packs", &[("packs", line.to_come.into())]);
    let life =
        line.least_life_days.map(|days| words.tell("desk-least-life", &[("days", days.into())]));
    html! {
        fieldset {
            legend { (line.name) ", " (words.digits(&line.holds)) }
            @if let Some(life) = &life { p.hint { (life) } }
            (hidden(&at("line:with-number"), &line.line.to_string()))
            (field::fault_of(words, draft, &at("line")))
            (Field::number(&at("packs:number"), &packs).draw(words, draft))
            (Field::text(&at("lot"), &label("lot-name")).draw(words, draft))
            (Field::date(&at("use_by"), &label("receive-use-by")).draw(words, draft))
            (Field::date(&at("best_before"), &label("receive-best-before")).draw(words, draft))
            (Field::number(&at("temperature:decimal"), &label("goods-in-temperature")).draw(words, draft))
            (Field::choice(&at("place"), &label("lot-place"), places).draw(words, draft))
            details open[line.uneven || draft.is_refused()] {
                summary { (words.say("goods-in-not-as-ordered")) }
                (odd(words, row, draft))
            }
        }
    }
}

/// What is said only of goods that are not as they were ordered.
fn odd(words: Words, row: usize, draft: &Draft) -> Markup {
    let at = |field: &str| format!("lines/{row}/{field}");
    let label = |name: &str| words.say(name);
    let units = UNITS.map(|unit| (unit.to_owned(), unit.to_owned()));
    html! {
        (field::fault_of(words, draft, &at("quantity")))
        (Field::number(&at("quantity/amount:decimal"), &label("goods-in-weighed")).draw(words, draft))
        (Field::choice(&at("quantity/unit:with"), &label("receive-unit"), &units).draw(words, draft))
        (Field::number(&at("refused:number"), &label("goods-in-refused")).draw(words, draft))
        (Field::text(&at("note"), &label("goods-in-note")).draw(words, draft))
        (Field::tick(&at("label_changed:flag"), &label("goods-in-label-changed")).draw(words, draft))
        (Field::tick(&at("accept_over:flag"), &label("goods-in-over-promise")).draw(words, draft))
        (Field::tick(&at("settle:flag"), &label("goods-in-settle")).draw(words, draft))
    }
}
