//! What a service date really cost, on paper.

use super::{
    chart::{Bar, bars},
    day_cost::{shares, without_price},
    page::{document, foot, notes, said},
    texts::{self, money},
};
use crate::messages::Words;
use crate::wire::{
    actual_cost::{ActualCostView, ActualDoughView, ProductActualView, WorkCostView, WorkLineView},
    amount::money_text,
    day_cost::ShareLineView,
};
use maud::{Markup, html};

/// Draws what loads, doughs and pieces really cost, and who got them.
#[must_use]
pub fn draw(words: Words, view: &ActualCostView) -> Markup {
    let title = money::title(words, view.kind);
    let customers: Vec<Bar> = view.customers.iter().map(|line| bar(words, line)).collect();
    let body = html! {
        main.sheet.cost {
            p.stamp {
                span { (view.bakery) " · " b { (title) } " · " (words.year_day(&view.service_date)) }
                span { (texts::printed_at(words, &view.made_at)) }
            }
            header { h1 { (title) } p.load { (words.year_day(&view.service_date)) } }
            p { (money::stands_on(words, view.kind)) }
            (without_price(words, &view.missing))
            (notes(words, &view.notes))
            @if !view.products.is_empty() {
                (products(words, view))
                (shares(words, &words.say("costs-who-got"), [&view.customers, &view.own_lines], &view.printed.told(words)))
            }
            @if customers.len() > 1 { section { h2 { (words.say("costs-sent-to")) } (bars("sent", &words.say("costs-sent-to"), &customers)) } }
            @if !view.doughs.is_empty() { (doughs(words, &view.doughs)) }
            @for work in &view.works { (work_block(words, work)) }
            (foot(words, &[]))
        }
    };
    document(words, &format!("{title} {}", view.service_date), &body)
}

fn bar(words: Words, line: &ShareLineView) -> Bar {
    let length = i128::from(line.cost.minor_units);
    Bar { name: line.name.told(words), length, words: line.printed.told(words) }
}

fn products(words: Words, view: &ActualCostView) -> Markup {
    html! {
        section {
            h2 { (words.say("costs-products")) }
            table.lines.short.sums-of {
                thead { tr { th.what { (words.say("costs-product-sheet")) } th.figure { (words.say("costs-pieces-sheet")) } th.figure { (words.say("costs-good-piece")) } th.figure { (words.say("costs-cost-sheet")) } } }
                tbody {
                    @for line in &view.products { (product(words, line)) }
                    tr.total { td.what { b { (words.say("costs-total")) } } td.figure {} td.figure {} td.figure { b { (view.printed.told(words)) } } }
                }
            }
        }
    }
}

fn product(words: Words, line: &ProductActualView) -> Markup {
    html! {
        tr {
            td.what { (line.product) (without_price(words, &line.missing)) }
            td.figure { (line.pieces.amount) }
            td.figure { b { (line.printed.told(words)) } }
            td.figure { (words.digits(&money_text(line.total.minor_units))) }
        }
    }
}

fn doughs(words: Words, doughs: &[ActualDoughView]) -> Markup {
    html! {
        section {
            h2 { (words.say("costs-out-of-bowl")) }
            table.lines.short {
                thead { tr { th.what { (words.say("costs-made")) } th.figure { (words.say("costs-amount-sheet")) } th.figure { (words.say("costs-each-sheet")) } th.figure { (words.say("costs-cost-sheet")) } } }
                tbody {
                    @for line in doughs {
                        tr {
                            td.what { (line.formula) }
                            td.figure { (said(words, &line.quantity)) }
                            td.figure { (line.each.printed) " / " (line.per) }
                            td.figure { (line.cost.printed) }
                        }
                    }
                }
            }
        }
    }
}

fn work_block(words: Words, work: &WorkCostView) -> Markup {
    html! {
        section.group {
            h2 { (money::load(words, &work.formula, work.number)) }
            table.lines.short {
                thead { tr { th.what { (words.say("costs-put-in")) } th.figure { (words.say("costs-amount-sheet")) } th.figure { (words.say("costs-cost-sheet")) } } }
                tbody { @for line in &work.inputs { (work_line(words, line)) } }
                thead { tr { th.what { (words.say("costs-came-out")) } th.figure { (words.say("costs-amount-sheet")) } th.figure { (words.say("costs-cost-sheet")) } } }
                tbody { @for line in &work.made { (work_line(words, line)) } }
            }
            p { (words.say("costs-in-work")) " " (work.in_work.printed) " · " (words.say("costs-lost")) " " (work.wasted.printed) }
            (without_price(words, &work.missing))
        }
    }
}

fn work_line(words: Words, line: &WorkLineView) -> Markup {
    html! { tr { td.what { (line.item) } td.figure { (said(words, &line.quantity)) } td.figure { (line.cost.printed) } } }
}
