//! A person decides: one of the ways, or numbers of their own; and takes it back.

use crate::{
    messages::Words,
    pages::{
        Draft,
        field::{self, Field, hidden},
        visit,
    },
    state::State,
    wire::{cuts::CutsView, decision::DecisionView},
};
use jiff::civil::Date;
use maud::{Markup, html};

/// The name of the form that takes a decision back.
pub(super) fn part(id: &str) -> String {
    format!("back-{id}")
}

/// Draws both forms that decide.
pub(super) fn forms(
    state: &State,
    words: Words,
    (date, view): (Date, &CutsView),
    draft: &Draft,
) -> Markup {
    let path = format!("/cuts/{date}");
    html! {
        section.not-on-paper {
            h2 { (words.say("cuts-decide")) }
            p.hint { (words.say("cuts-decide-hint")) }
            (way(words, (&path, view), &draft.of_part(state, "way")))
            (own(words, (&path, view), draft.of_part(state, "own")))
        }
    }
}

/// Who decides, and why.
fn signed(words: Words, draft: &Draft) -> Markup {
    let (why, who) = (words.say("lot-reason"), words.say("cuts-who"));
    html! {
        (Field::text("note", &why).needed().draw(words, draft))
        (Field::text("who", &who).needed().draw(words, draft))
    }
}

fn way(words: Words, (path, view): (&str, &CutsView), draft: &Draft) -> Markup {
    let ways = ["fair", "best"].map(|way| (way.to_owned(), words.say(&format!("cuts-{way}"))));
    let (label, button) = (words.say("cuts-which-way"), words.say("cuts-take-way"));
    let fields = html! {
        (hidden("plan_revision:number", &view.plan_revision.to_string()))
        (Field::choice("way", &label, &ways).needed().draw(words, draft))
        (signed(words, draft))
    };
    field::form(words, draft, (path, &button), &fields)
}

/// A line that can be decided: what the orders of one customer, product and drop get.
struct Line<'a> {
    customer: &'a str,
    product: &'a str,
    drop: &'a str,
    label: String,
    asked: i64,
    fair: i64,
}

/// Lines that somebody ordered, those of one customer, product and drop together.
fn lines(view: &CutsView) -> Vec<Line<'_>> {
    let mut found: Vec<Line<'_>> = Vec::new();
    for line in view.lines.iter().filter(|line| line.wanted == "ordered") {
        let drop = line.drop.as_deref().unwrap_or_default();
        let key = (line.customer.as_str(), line.product.as_str(), drop);
        match found.iter_mut().find(|one| (one.customer, one.product, one.drop) == key) {
            Some(one) => {
                one.asked += line.asked;
                one.fair += line.fair;
            }
            None => found.push(Line {
                customer: key.0,
                product: key.1,
                drop,
                label: format!("{}, {} {drop}", line.name, line.customer_name),
                asked: line.asked,
                fair: line.fair,
            }),
        }
    }
    found
}

fn own(words: Words, (path, view): (&str, &CutsView), draft: Draft) -> Markup {
    let lines = lines(view);
    let button = words.say("cuts-take-own");
    let draft = lines.iter().enumerate().fold(draft, |draft, (row, line)| {
        draft.with_default(&format!("lines/{row}/pieces"), line.fair.to_string())
    });
    let fields = html! {
        (field::fault_of(words, &draft, "lines"))
        div.quantities {
            @for (row, line) in lines.iter().enumerate() {
                @let name = |field: &str| format!("lines/{row}/{field}");
                @let hint = words.tell("cuts-of-asked", &[("pieces", line.asked.into())]);
                div.quantity {
                    (hidden(&name("customer:with"), line.customer))
                    (hidden(&name("product:with"), line.product))
                    (hidden(&name("drop:with"), line.drop))
                    (Field::number(&name("pieces:number"), &line.label).hint(&hint).draw(words, &draft))
                }
            }
        }
        (signed(words, &draft))
    };
    html! {
        details open[draft.is_refused()] {
            summary { (words.say("cuts-own")) }
            p.hint { (words.say("cuts-own-hint")) }
            (field::form(words, &draft, (path, &button), &fields))
        }
    }
}

/// What was decided, newest first, each with a way to take it back.
pub(super) fn held(
    state: &State,
    words: Words,
    (date, decisions): (Date, &[DecisionView]),
    draft: &Draft,
) -> Markup {
    html! {
        @if !decisions.is_empty() {
            section {
                h2 { (words.say("cuts-decided")) }
                @for decision in decisions.iter().rev() {
                    (one(words, (date, decision), &draft.of_part(state, &part(&decision.id))))
                }
            }
        }
    }
}

fn one(words: Words, (date, decision): (Date, &DecisionView), draft: &Draft) -> Markup {
    html! {
        div.day {
            p {
                b { (words.moment(&decision.recorded_at)) } " · " (decision.who) " · " (decision.note)
            }
            @match &decision.taken_back {
                Some(back) => {
                    p.loud {
                        (words.tell("cuts-taken-back", &[("who", back.who.as_str().into())]))
                        " " (back.note)
                    }
                }
                None => { (take_back(words, (date, decision), draft)) }
            }
            details {
                summary { (words.tell("cuts-decided-lines", &[("count", decision.lines.len().into())])) }
                ul {
                    @for line in &decision.lines {
                        li {
                            (line.customer.told(words)) " · " (line.product.told(words)) " "
                            (line.drop.as_deref().unwrap_or_default()) ": " b { (line.pieces) }
                        }
                    }
                }
            }
        }
    }
}

fn take_back(words: Words, (date, decision): (Date, &DecisionView), draft: &Draft) -> Markup {
    let button = words.say("cuts-take-back");
    let action = format!("/cuts/{date}/decisions/{}/take-back", visit::segment(&decision.id));
    html! {
        details open[draft.is_refused()] {
            summary { (button) " …" }
            (field::form(words, draft, (&action, &button), &signed(words, draft)))
        }
    }
}
