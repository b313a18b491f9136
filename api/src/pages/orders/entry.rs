//! Where an order is entered or amended: one row for each product.

use super::Names;
use crate::{
    clock,
    messages::Words,
    pages::{
        Draft, Page, Shown,
        field::{self, Field, hidden},
    },
    state::State,
    wire::order::{OrderView, check::OrderCheckView},
};
use jiff::civil::Date;
use maud::{Markup, html};

/// A new order, named by us.
pub(super) fn blank(state: &State, date: Option<Date>) -> Draft {
    let name = format!("desk-{}", clock::new_id(state.now()));
    let draft = Draft::new(state).with("order_ref", name).with("version", "1");
    match date {
        Some(date) => draft.with("service_date", date.to_string()),
        None => draft,
    }
}

/// The next version of an order, filled with what is held.
pub(super) fn filled(state: &State, held: &OrderView) -> Draft {
    let next = held.version.max(held.version_held).saturating_add(1);
    let mut draft = Draft::new(state)
        .with("order_ref", held.order_ref.as_str())
        .with("version", next.to_string())
        .with("customer", held.customer.as_deref().unwrap_or_default())
        .with("service_date", held.service_date.as_deref().unwrap_or_default())
        .with("drop", held.drop.as_deref().unwrap_or_default())
        .with("standing", held.standing.unwrap_or_default())
        .with("counter_par", held.counter_par.unwrap_or_default());
    for (row, line) in held.lines.iter().enumerate() {
        let name = |field: &str| format!("lines/{row}/{field}");
        let asked = line.quantity_asked.get();
        draft = draft
            .with(name("line_ref"), line.line_ref.as_str())
            .with(name("product"), line.product.as_str())
            .with(name("quantity"), if asked == "0" { "" } else { asked });
    }
    draft
}

pub(super) fn page(state: &State, words: Words, draft: &Draft) -> Shown {
    page_with_answer(state, words, draft, None)
}

pub(super) fn page_with_answer(
    state: &State,
    words: Words,
    draft: &Draft,
    answer: Option<&OrderCheckView>,
) -> Shown {
    let names = Names::load(state)?;
    let first = draft.text("version") == "1";
    let title = if first { "order-new-title" } else { "order-amend-title" };
    let fields = html! {
        (hidden("order_ref", draft.text("order_ref")))
        (hidden("version:number", draft.text("version")))
        (head(words, &names, draft))
        (lines(words, &names, draft))
        p.send { button.quiet type="submit" name="_ask" value="ask" { (words.say("order-ask")) } }
    };
    let action = ("/orders", words.say("order-send"));
    Ok(Page {
        title: words.say(title),
        main: html! {
            @if let Some(answer) = answer { (answered(words, &names, answer)) }
            (field::form(words, draft, (action.0, &action.1), &fields))
        },
    })
}

fn head(words: Words, names: &Names, draft: &Draft) -> Markup {
    let standing = ["replaces", "adds"]
        .map(|word| (word.to_owned(), words.say(&format!("order-standing-{word}"))));
    let label = |name: &str| words.say(name);
    let (customer, date, drop) =
        (label("orders-customer"), label("orders-date"), label("orders-drop"));
    let (over, hint) = (label("order-standing"), label("order-standing-hint"));
    let par = ["on_top", "out_of"]
        .map(|word| (word.to_owned(), words.say(&format!("order-counter-{word}"))));
    let (of_par, par_hint) = (label("order-counter"), label("order-counter-hint"));
    html! {
        (Field::choice("customer", &customer, &names.customers).needed().draw(words, draft))
        (Field::date("service_date", &date).needed().draw(words, draft))
        (Field::time("drop", &drop).needed().draw(words, draft))
        details open[!draft.text("standing").is_empty()] {
            summary { (words.say("order-standing-open")) }
            (Field::choice("standing", &over, &standing).hint(&hint).draw(words, draft))
        }
        details open[!draft.text("counter_par").is_empty()] {
            summary { (words.say("order-counter-open")) }
            (Field::choice("counter_par", &of_par, &par).hint(&par_hint).draw(words, draft))
        }
    }
}

/// A row of the form: which line, which product.
struct Row {
    line_ref: String,
    product: String,
}

/// The lines that stand in a draft, then every product that is not among them.
fn rows(names: &Names, draft: &Draft) -> Vec<Row> {
    let text = |row: usize, field: &str| draft.text(&format!("lines/{row}/{field}")).to_owned();
    let held = (0..draft.rows("lines"))
        .map(|row| Row { line_ref: text(row, "line_ref"), product: text(row, "product") });
    let mut rows: Vec<Row> = held.collect();
    for (code, _) in &names.products {
        if rows.iter().any(|row| row.product == *code) {
            continue;
        }
        // The product names its line, unless a till has given that name to another.
        let mut line_ref = code.clone();
        while rows.iter().any(|row| row.line_ref == line_ref) {
            line_ref.push('+');
        }
        rows.push(Row { line_ref, product: code.clone() });
    }
    rows
}

fn lines(words: Words, names: &Names, draft: &Draft) -> Markup {
    html! {
        fieldset {
            legend { (words.say("order-lines")) }
            (field::fault_of(words, draft, "lines"))
            div.quantities {
                @for (at, row) in rows(names, draft).iter().enumerate() {
                    @let name = |field: &str| format!("lines/{at}/{field}");
                    div.quantity {
                        (hidden(&name("line_ref:with"), &row.line_ref))
                        (hidden(&name("product:with"), &row.product))
                        (Field::number(&name("quantity:number"), names.product(&row.product)).draw(words, draft))
                    }
                }
            }
        }
    }
}

/// What would become of the order, line by line.
fn answered(words: Words, names: &Names, answer: &OrderCheckView) -> Markup {
    html! {
        section.answer role="status" {
            h2 { (words.say("order-answer")) }
            p { b { (words.say(&format!("order-state-{}", answer.would_be))) } }
            ul {
                @for line in &answer.lines {
                    li {
                        b { (names.product(&line.product)) } ": " (line.sentence.told(words))
                    }
                }
            }
            @for note in &answer.notes { p.loud { (note.told(words)) } }
            p.hint { (words.say("order-answer-hint")) }
        }
    }
}
