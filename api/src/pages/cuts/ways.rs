//! What is scarce, and what each way to cut makes of it.

use crate::{
    messages::{Sentence, Words, told},
    pages::{
        amount,
        frame::{
            Column::{Figure, Text},
            columns, wide,
        },
    },
    wire::{
        amount::money_text,
        cuts::{CutLineView, CutProductView, CutsView, WayView},
    },
};
use maud::{Markup, html};

/// Draws both ways; `currency` is that of the house.
pub(super) fn draw(words: Words, view: &CutsView, currency: &str) -> Markup {
    html! {
        (scarce(words, view))
        section {
            h2 { (words.say("cuts-ways")) }
            div.beside {
                @for (name, way) in [("fair", &view.fair), ("best", &view.best)] {
                    @if let Some(way) = way { (one(words, (view, currency), name, way)) }
                }
            }
            p.loud { (cost_of_fairness(words, (view, currency))) }
            @if !view.without_price.is_empty() {
                p.hint { (words.tell("cuts-without-price", &[("products", told(words, &view.without_price).join(", ").into())])) }
            }
        }
        (products(words, &view.products))
        (lines(words, &view.lines))
    }
}

fn scarce(words: Words, view: &CutsView) -> Markup {
    let title = words.say("cuts-scarce");
    html! {
        section {
            h2 { (title) }
            (wide(&title, &html! {
                table {
                    (columns(words, &[
                        Text("stock-item"),
                        Text("cuts-up-to"),
                        Figure("cuts-there"),
                        Figure("cuts-wanted"),
                    ]))
                    tbody {
                        @for one in &view.scarce {
                            tr {
                                th scope="row" { (one.name) }
                                td { (words.moment(&one.at)) }
                                td.number { (amount(words, &one.there)) }
                                td.number { (amount(words, &one.wanted)) }
                            }
                        }
                    }
                }
            }))
        }
    }
}

/// What something is worth, in the money of the house or in pieces.
fn worth(words: Words, (view, currency): (&CutsView, &str), worth: i64) -> String {
    if view.counted_in == "money" {
        return words.amount(&money_text(worth), currency);
    }
    words.amount(&worth.to_string(), "pieces")
}

fn one(words: Words, of: (&CutsView, &str), name: &str, way: &WayView) -> Markup {
    html! {
        div.day {
            h3 { (words.say(&format!("cuts-{name}"))) }
            p { (words.say(&format!("cuts-{name}-is"))) }
            dl {
                dt { (words.say("cuts-pieces")) } dd { b { (way.pieces) } }
                dt { (words.say("cuts-worth")) } dd { (worth(words, of, way.worth)) }
            }
            @if !way.left_out.is_empty() {
                p.loud { (words.tell("cuts-left-out", &[("doughs", way.left_out.join(", ").into())])) }
            }
            @match way.proven {
                Some(true) => { p { (words.say("cuts-proven")) } }
                Some(false) => { p { (way.statement.told(words)) } }
                None => {}
            }
            @for short in &way.still_short {
                p.loud {
                    (words.tell("cuts-still-short", &[
                        ("amount", amount(words, &short.short).into()),
                        ("item", short.item.told(words).into()),
                    ]))
                }
            }
        }
    }
}

fn cost_of_fairness(words: Words, of: (&CutsView, &str)) -> String {
    let (Some(fair), Some(best)) = (&of.0.fair, &of.0.best) else { return String::new() };
    // An earlier tier may keep more, which comes before what later ones are worth.
    if best.worth < fair.worth {
        return words.say("cuts-earlier-tier");
    }
    words.tell(
        "cuts-cost-of-fairness",
        &[("cost", worth(words, of, best.worth - fair.worth).into())],
    )
}

fn products(words: Words, products: &[CutProductView]) -> Markup {
    let title = words.say("cuts-products");
    let uncut = words.say("cuts-uncut");
    let because =
        |why: &Option<Sentence>| why.as_ref().map_or_else(|| uncut.clone(), |why| why.told(words));
    html! {
        section {
            h2 { (title) }
            (wide(&title, &html! {
                table {
                    (columns(words, &[
                        Text("order-product"),
                        Figure("order-asked"),
                        Figure("cuts-fair"),
                        Text("cuts-because"),
                        Figure("cuts-best"),
                        Text("cuts-because"),
                    ]))
                    tbody {
                        @for one in products {
                            tr {
                                th scope="row" { (one.name) }
                                td.number { (one.asked) }
                                td.number { b { (one.fair) } }
                                td { (because(&one.fair_because)) }
                                td.number { b { (one.best) } }
                                td { (because(&one.best_because)) }
                            }
                        }
                    }
                }
            }))
        }
    }
}

fn lines(words: Words, lines: &[CutLineView]) -> Markup {
    let title = words.say("cuts-lines");
    html! {
        section {
            h2 { (title) }
            (wide(&title, &html! {
                table {
                    (columns(words, &[
                        Text("order-product"),
                        Text("orders-customer"),
                        Text("orders-drop"),
                        Figure("cuts-tier"),
                        Figure("order-asked"),
                        Figure("cuts-fair"),
                        Figure("cuts-best"),
                    ]))
                    tbody { @for line in lines { (line_of(words, line)) } }
                }
            }))
        }
    }
}

fn line_of(words: Words, line: &CutLineView) -> Markup {
    let ordered = line.wanted == "ordered";
    html! {
        tr {
            th scope="row" { (line.name) }
            td {
                (line.customer_name)
                @if !ordered { br; span.hint { (words.say(&format!("cuts-wanted-{}", line.wanted))) } }
            }
            td { (line.drop.as_deref().unwrap_or("–")) }
            td.number { @if ordered { (line.tier) } @else { "–" } }
            td.number { (line.asked) }
            td.number.loud[line.fair < line.asked] { (line.fair) }
            td.number.loud[line.best < line.asked] { (line.best) }
        }
    }
}
