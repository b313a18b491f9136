//! Two ways to cut on paper, side by side, with boxes to decide by hand.

use super::{
    page::{Stamp, document, foot, said, stamp, widths},
    texts::{self, word},
};
use crate::wire::{
    cuts::{CutLineView, CutProductView, CutsView, WayView},
    decision::DecisionView,
};
use maud::{Markup, html};

/// Draws the ways to cut.
#[must_use]
pub fn draw(view: &CutsView) -> Markup {
    let title = format!("{} {}", word::CUTS, view.from);
    let own = Stamp {
        bakery: &view.bakery,
        title: word::CUTS,
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide {
            (stamp(&own, None))
            header {
                h1 { (word::CUTS) }
                p.load {
                    "orders of " (texts::day(&view.from))
                    @if view.to != view.from { " to " (texts::day(&view.to)) }
                }
            }
            @if let Some(state) = view.state { p.loud { (state) ": " (word::CUTS_DECIDE) } }
            @else { p { (view.cost_of_fairness) } }
            @if view.state.is_some() { (scarce(view)) (ways(view)) (products(&view.products)) (lines(&view.lines)) }
            @for decision in &view.decisions { (decided(decision)) }
            (foot(&[texts::check_the_label()]))
        }
    };
    document(&title, &body)
}

fn scarce(view: &CutsView) -> Markup {
    html! {
        section {
            h2 { (word::CUTS_SCARCE) }
            table.lines.short {
                (widths(&["who", "who", "here", "item"]))
                thead { tr { th { (word::INGREDIENT) } th { "up to" } th { "there is" } th { "wanted" } } }
                tbody {
                    @for one in &view.scarce {
                        tr {
                            td { b { (one.name) } }
                            td { (texts::moment(&one.at)) }
                            td { (said(&one.there)) }
                            td { (said(&one.wanted)) }
                        }
                    }
                }
            }
        }
    }
}

fn ways(view: &CutsView) -> Markup {
    html! {
        section {
            h2 { (word::CUTS_WAYS) }
            @if let Some(fair) = &view.fair { (way("Fair", fair)) }
            @if let Some(best) = &view.best { (way("Best", best)) }
            p { b { (view.cost_of_fairness) } }
            @if !view.without_price.is_empty() {
                p.remark { "No price on record: " (view.without_price.join(", ")) ". Each piece counts as one." }
            }
        }
    }
}

fn way(name: &str, view: &WayView) -> Markup {
    html! {
        p {
            b { (name) ": " (view.pieces) " pieces. " } (view.statement)
            @for short in &view.still_short {
                " " b.loud { "Still short: " (said(&short.short)) " of " (short.item) "." }
            }
        }
    }
}

fn products(products: &[CutProductView]) -> Markup {
    html! {
        section {
            h2 { (word::CUTS_PRODUCTS) }
            table.lines.short {
                (widths(&["item", "day", "code", "code", "because", "code", "because"]))
                thead {
                    tr {
                        th { "product" } th { "for" } th { "asked" } th { "fair" } th { "because" }
                        th { "best" } th { "because" }
                    }
                }
                tbody {
                    @for one in products {
                        tr {
                            td { b { (one.name) } }
                            td { (texts::day(&one.service_date)) }
                            td { (one.asked) }
                            td { b { (one.fair) } }
                            td { (one.fair_because.as_deref().unwrap_or("not cut")) }
                            td { b { (one.best) } }
                            td { (one.best_because.as_deref().unwrap_or("not cut")) }
                        }
                    }
                }
            }
        }
    }
}

fn lines(lines: &[CutLineView]) -> Markup {
    html! {
        section {
            h2 { (word::CUTS_LINES) }
            table.lines.short {
                (widths(&["item", "day", "who", "code", "code", "code", "code", "code", "decided"]))
                thead {
                    tr {
                        th { "product" } th { "for" } th { "customer" } th { "tier" } th { "drop" }
                        th { "asked" } th { "fair" } th { "best" } th { "decided" }
                    }
                }
                tbody {
                    @for line in lines {
                        tr {
                            td { b { (line.name) } }
                            td { (texts::day(&line.service_date)) }
                            td { (line.customer_name) @if line.wanted != "ordered" { p.remark { b { (line.wanted) } ", not ordered" } } }
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
            p.sums { span { "decided by ______________________" } span { "at __________" } span { "why ______________________________" } }
        }
    }
}

fn decided(decision: &DecisionView) -> Markup {
    html! {
        section {
            h2 { "Decided " (texts::moment(&decision.recorded_at)) " by " (decision.who) }
            p { (decision.note) }
            @if let Some(back) = &decision.taken_back {
                p.loud { "TAKEN BACK by " (back.who) ": " (back.note) }
            }
            ul.notes {
                @for line in &decision.lines {
                    li {
                        (line.customer) ": " b { (line.pieces) } " " (line.product)
                        @if let Some(drop) = &line.drop { " at " (drop) }
                    }
                }
            }
        }
    }
}
