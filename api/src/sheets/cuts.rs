//! Two ways to cut on paper, side by side, with boxes to decide by hand.

use super::page::{Stamp, document, foot, said, stamp, widths};
use crate::messages::{Words, told};
use crate::wire::{
    cuts::{CutLineView, CutProductView, CutsView, WayView},
    decision::DecisionView,
};
use maud::{Markup, html};

/// Draws the ways to cut.
#[must_use]
pub fn draw(words: Words, view: &CutsView) -> Markup {
    let title = format!("{} {}", words.say("cut-sheet-title"), view.from);
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("cut-sheet-title"),
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide {
            (stamp(&own, None))
            header {
                h1 { (words.say("cut-sheet-title")) }
                p.load {
                    (words.say("cut-sheet-orders-of")) " " (words.day_of(&view.from))
                    @if view.to != view.from { " " (words.say("cut-sheet-to")) " " (words.day_of(&view.to)) }
                }
            }
            @if let Some(state) = view.state { p.loud { (words.listed("sheet-", state)) ": " (words.say("cut-sheet-decide")) } }
            @else { p { (view.cost_of_fairness.told(words)) } }
            @if view.state.is_some() { (scarce(words, view)) (ways(words, view)) (products(words, &view.products)) (lines(words, &view.lines)) }
            @for decision in &view.decisions { (decided(words, decision)) }
            (foot(words, &[words.say("caution-label")]))
        }
    };
    document(words, &title, &body)
}

fn scarce(words: Words, view: &CutsView) -> Markup {
    html! {
        section {
            h2 { (words.say("cut-sheet-scarce")) }
            table.lines.short {
                (widths(&["who", "who", "here", "item"]))
                thead { tr { th { (words.say("sheet-ingredient")) } th { (words.say("sheet-up-to")) } th { (words.say("cut-sheet-there-is")) } th { (words.say("cut-sheet-wanted")) } } }
                tbody {
                    @for one in &view.scarce {
                        tr {
                            td { b { (one.name) } }
                            td { (words.moment(&one.at)) }
                            td { (said(words, &one.there)) }
                            td { (said(words, &one.wanted)) }
                        }
                    }
                }
            }
        }
    }
}

fn ways(words: Words, view: &CutsView) -> Markup {
    html! {
        section {
            h2 { (words.say("cut-sheet-ways")) }
            @if let Some(fair) = &view.fair { (way(words, &words.say("cut-sheet-fair"), fair)) }
            @if let Some(best) = &view.best { (way(words, &words.say("cut-sheet-best"), best)) }
            p { b { (view.cost_of_fairness.told(words)) } }
            @if !view.without_price.is_empty() {
                p.remark { (words.say("cut-sheet-no-price-on-record")) " " (told(words, &view.without_price).join(", ")) ". " (words.say("cut-sheet-each-piece-counts-as-one")) }
            }
        }
    }
}

fn way(words: Words, name: &str, view: &WayView) -> Markup {
    html! {
        p {
            b { (name) ": " (view.pieces) " " (words.say("cut-sheet-pieces")) " " } (view.statement.told(words))
            @for short in &view.still_short {
                " " b.loud { (words.say("cut-sheet-still-short")) " " (said(words, &short.short)) " " (words.say("cut-sheet-of")) " " (short.item.told(words)) "." }
            }
        }
    }
}

fn products(words: Words, products: &[CutProductView]) -> Markup {
    html! {
        section {
            h2 { (words.say("cut-sheet-products")) }
            table.lines.short {
                (widths(&["item", "day", "code", "code", "because", "code", "because"]))
                thead {
                    tr {
                        th { (words.say("sheet-product")) } th { (words.say("sheet-for")) } th { (words.say("cut-sheet-asked")) } th { (words.say("cut-sheet-fair-column")) } th { (words.say("cut-sheet-because")) }
                        th { (words.say("cut-sheet-best-column")) } th { (words.say("cut-sheet-because")) }
                    }
                }
                tbody {
                    @for one in products {
                        tr {
                            td { b { (one.name) } }
                            td { (words.day_of(&one.service_date)) }
                            td { (one.asked) }
                            td { b { (one.fair) } }
                            td { (one.fair_because.as_ref().map_or_else(|| words.say("cut-sheet-not-cut"), |why| why.told(words))) }
                            td { b { (one.best) } }
                            td { (one.best_because.as_ref().map_or_else(|| words.say("cut-sheet-not-cut"), |why| why.told(words))) }
                        }
                    }
                }
            }
        }
    }
}

fn lines(words: Words, lines: &[CutLineView]) -> Markup {
    html! {
        section {
            h2 { (words.say("cut-sheet-lines")) }
            table.lines.short {
                (widths(&["item", "day", "who", "code", "code", "code", "code", "code", "decided"]))
                thead {
                    tr {
                        th { (words.say("sheet-product")) } th { (words.say("sheet-for")) } th { (words.say("cut-sheet-customer")) } th { (words.say("cut-sheet-tier")) } th { (words.say("sheet-drop")) }
                        th { (words.say("cut-sheet-asked")) } th { (words.say("cut-sheet-fair-column")) } th { (words.say("cut-sheet-best-column")) } th { (words.say("sheet-decided")) }
                    }
                }
                tbody {
                    @for line in lines {
                        tr {
                            td { b { (line.name) } }
                            td { (words.day_of(&line.service_date)) }
                            td { (line.customer_name) @if line.wanted != "ordered" { p.remark { b { (words.listed("cut-wanted-", line.wanted)) } ", " (words.say("cut-sheet-not-ordered")) } } }
                            td { @if line.wanted == "ordered" { (line.tier) } @else { "-" } }
                            td { (line.drop.as_deref().unwrap_or("-")) }
                            td { (line.asked) }
                            td { @if line.fair < line.asked { b { (line.fair) } } @else { (line.fair) } }
                            td { @if line.best < line.asked { b { (line.best) } } @else { (line.best) } }
                            td.blank {}
                        }
                    }
                }
            }
            p.sums { span { (words.say("cut-sheet-decided-blank")) } span { (words.say("sheet-at-blank")) } span { (words.say("sheet-why-blank")) } }
        }
    }
}

fn decided(words: Words, decision: &DecisionView) -> Markup {
    html! {
        section {
            h2 { (words.say("cut-sheet-decided")) " " (words.moment(&decision.recorded_at)) " " (words.say("cut-sheet-by")) " " (decision.who) }
            p { (decision.note) }
            @if let Some(back) = &decision.taken_back {
                p.loud { (words.say("cut-sheet-taken-back-by")) " " (back.who) ": " (back.note) }
            }
            ul.notes {
                @for line in &decision.lines {
                    li {
                        (line.customer.told(words)) ": " b { (line.pieces) } " " (line.product.told(words))
                        @if let Some(drop) = &line.drop { " " (words.say("cut-sheet-at")) " " (drop) }
                    }
                }
            }
        }
    }
}
