//! What can be done with an order now: each step a form of its own.

use super::{
    address,
    lines::{self, Choice},
};
use crate::{
    messages::Words,
    pages::{
        Draft,
        field::{self, Field, hidden},
    },
    state::State,
    wire::supplier_order::SupplierOrderView,
};
use maud::{Markup, html};

/// Draws a form for each step that the order takes.
pub(super) fn draw(
    state: &State,
    words: Words,
    (order, packs): (&SupplierOrderView, &[Choice]),
    draft: &Draft,
) -> Markup {
    let part = |name: &str| draft.of_part(state, name);
    let parts = order.next.iter().map(|&step| if step == "edit" { "lines" } else { step });
    let parts: Vec<String> = parts.map(str::to_owned).collect();
    html! {
        (field::unplaced(words, draft, &parts))
        div.not-on-paper {
            @for step in &order.next {
                @match *step {
                    "send" => { (send(words, order, &part("send"))) }
                    "edit" => { (edit(words, order, packs, part("lines"))) }
                    "acknowledge" => { (acknowledge(words, order, part("acknowledge"))) }
                    "close" => { (end(words, order, &part("close"), "close")) }
                    "cancel" => { (end(words, order, &part("cancel"), "cancel")) }
                    _ => {}
                }
            }
        }
    }
}

/// A form that is folded away until it is wanted or was not right.
fn folded(draft: &Draft, name: &str, form: &Markup) -> Markup {
    html! {
        details open[draft.is_refused()] {
            summary { (name) " …" }
            (form)
        }
    }
}

/// The ways out of the house, and that it went.
fn send(words: Words, order: &SupplierOrderView, draft: &Draft) -> Markup {
    let path = address(&order.id);
    let gone = order.minutes_left.is_some_and(|minutes| minutes < 0);
    let label = |name: &str| words.say(name);
    let (who, note, button) =
        (label("desk-who"), label("supplier-order-how"), label("supplier-order-send"));
    let (agreed, hint) = (label("supplier-order-agreed-by"), label("supplier-order-agreed-hint"));
    let fields = html! {
        (Field::text("who", &who).needed().draw(words, draft))
        (Field::text("note", &note).draw(words, draft))
        @if gone || order.gap.minor_units > 0 {
            (Field::text("agreed_with", &agreed).hint(&hint).draw(words, draft))
        }
    };
    html! {
        section {
            h2 { (words.say("supplier-order-send-title")) }
            p { (words.say("supplier-order-send-hint")) }
            ul.links {
                @if let Some(mail) = &order.mailto {
                    li { a href=(mail) { (words.say("supplier-order-mail")) } }
                }
                li { a href={ "/v1/supplier-orders/" (order.id) } { (words.say("supplier-order-print")) } }
                @for ending in ["pdf", "csv", "xml"] {
                    li {
                        a href={ (path) "/order." (ending) } download {
                            (words.say(&format!("supplier-order-file-{ending}")))
                        }
                    }
                }
            }
            (field::form(words, draft, (&format!("{path}/send"), &button), &fields))
        }
    }
}

fn edit(words: Words, order: &SupplierOrderView, packs: &[Choice], draft: Draft) -> Markup {
    let draft =
        lines::filled(draft, order.lines.iter().map(|line| (line.pack.as_str(), line.packs)));
    let (who, note, button) =
        (words.say("desk-who"), words.say("supplier-order-note"), words.say("supplier-order-edit"));
    let action = format!("{}/lines", address(&order.id));
    let fields = html! {
        p.hint { (words.say("supplier-order-edit-hint")) }
        (hidden("_etag", &order.etag))
        (lines::boxes(words, packs, &draft))
        (Field::text("who", &who).needed().draw(words, &draft))
        (Field::text("note", &note).draw(words, &draft))
    };
    folded(&draft, &button, &field::form(words, &draft, (&action, &button), &fields))
}

/// The supplier's answer, line by line as it was ordered until somebody writes otherwise.
fn acknowledge(words: Words, order: &SupplierOrderView, draft: Draft) -> Markup {
    let label = |name: &str| words.say(name);
    let (who, theirs, arrives) =
        (label("desk-who"), label("supplier-order-theirs"), label("supplier-order-arrives"));
    let (note, button) = (label("supplier-order-note"), label("supplier-order-acknowledge"));
    let reason = label("supplier-order-reason");
    let action = format!("{}/acknowledge", address(&order.id));
    let draft = order.lines.iter().enumerate().fold(draft, |draft, (row, line)| {
        let promised = line.agreed.unwrap_or(line.packs);
        draft.with_default(&format!("lines/{row}/packs"), promised.to_string())
    });
    let fields = html! {
        p.hint { (words.say("supplier-order-acknowledge-hint")) }
        @for (row, line) in order.lines.iter().enumerate() {
            fieldset {
                legend { (line.name) ", " (words.digits(&line.holds)) }
                (hidden(&format!("lines/{row}/line:with-number"), &line.line.to_string()))
                (field::fault_of(words, &draft, &format!("lines/{row}/line")))
                (Field::number(&format!("lines/{row}/packs:number"), &words.tell("supplier-order-brings", &[("packs", line.packs.into())])).draw(words, &draft))
                (Field::text(&format!("lines/{row}/reason"), &reason).draw(words, &draft))
            }
        }
        (Field::text("their_reference", &theirs).draw(words, &draft))
        (Field::moment("arrives", &arrives).draw(words, &draft))
        (Field::text("who", &who).needed().draw(words, &draft))
        (Field::text("note", &note).draw(words, &draft))
    };
    folded(&draft, &button, &field::form(words, &draft, (&action, &button), &fields))
}

/// The end of an order: closed once it was sent, given up before.
fn end(words: Words, order: &SupplierOrderView, draft: &Draft, step: &str) -> Markup {
    let button = words.say(&format!("supplier-order-{step}"));
    let (who, why) = (words.say("desk-who"), words.say("lot-reason"));
    let action = format!("{}/{step}", address(&order.id));
    let fields = html! {
        p.hint { (words.say(&format!("supplier-order-{step}-hint"))) }
        (Field::text("note", &why).needed().draw(words, draft))
        (Field::text("who", &who).needed().draw(words, draft))
    };
    folded(draft, &button, &field::form(words, draft, (&action, &button), &fields))
}
