//! What a service date really cost, on paper.

use super::{
    chart::{Bar, bars},
    day_cost::{shares, without_price},
    page::{document, foot, notes, said},
    texts::{self, cost as word},
};
use crate::wire::{
    actual_cost::{ActualCostView, ActualDoughView, ProductActualView, WorkCostView, WorkLineView},
    amount::money_text,
    day_cost::ShareLineView,
};
use maud::{Markup, html};

/// Draws what loads, doughs and pieces really cost, and who got them.
#[must_use]
pub fn draw(view: &ActualCostView) -> Markup {
    let title = word::title(view.kind);
    let customers: Vec<Bar> = view.customers.iter().map(bar).collect();
    let body = html! {
        main.sheet.cost {
            p.stamp {
                span { (view.bakery) " · " b { (title) } " · " (texts::full_day(&view.service_date)) }
                span { (texts::printed_at(&view.made_at)) }
            }
            header { h1 { (title) } p.load { (texts::full_day(&view.service_date)) } }
            p { (word::stands_on(view.kind)) }
            (without_price(&view.missing))
            (notes(&view.notes))
            @if !view.products.is_empty() {
                (products(view))
                (shares(word::WHO_GOT, [&view.customers, &view.own_lines], &view.printed))
            }
            @if customers.len() > 1 { section { h2 { (word::SENT_TO) } (bars("sent", word::SENT_TO, &customers)) } }
            @if !view.doughs.is_empty() { (doughs(&view.doughs)) }
            @for work in &view.works { (work_block(work)) }
            (foot(&[]))
        }
    };
    document(&format!("{title} {}", view.service_date), &body)
}

fn bar(line: &ShareLineView) -> Bar {
    let length = i128::from(line.cost.minor_units);
    Bar { name: line.name.clone(), length, words: line.printed.clone() }
}

fn products(view: &ActualCostView) -> Markup {
    html! {
        section {
            h2 { (word::PRODUCTS) }
            table.lines.short.sums-of {
                thead { tr { th.what { (word::PRODUCT) } th.figure { (word::PIECES) } th.figure { (word::GOOD_PIECE) } th.figure { (word::COST) } } }
                tbody {
                    @for line in &view.products { (product(line)) }
                    tr.total { td.what { b { (word::TOTAL) } } td.figure {} td.figure {} td.figure { b { (view.printed) } } }
                }
            }
        }
    }
}

fn product(line: &ProductActualView) -> Markup {
    html! {
        tr {
            td.what { (line.product) (without_price(&line.missing)) }
            td.figure { (line.pieces.amount) }
            td.figure { b { (line.printed) } }
            td.figure { (money_text(line.total.minor_units)) }
        }
    }
}

fn doughs(doughs: &[ActualDoughView]) -> Markup {
    html! {
        section {
            h2 { (word::OUT_OF_BOWL) }
            table.lines.short {
                thead { tr { th.what { (word::MADE) } th.figure { (word::AMOUNT) } th.figure { (word::EACH) } th.figure { (word::COST) } } }
                tbody {
                    @for line in doughs {
                        tr {
                            td.what { (line.formula) }
                            td.figure { (said(&line.quantity)) }
                            td.figure { (line.each.printed) " / " (line.per) }
                            td.figure { (line.cost.printed) }
                        }
                    }
                }
            }
        }
    }
}

fn work_block(work: &WorkCostView) -> Markup {
    html! {
        section.group {
            h2 { (word::load(&work.formula, work.number)) }
            table.lines.short {
                thead { tr { th.what { (word::PUT_IN) } th.figure { (word::AMOUNT) } th.figure { (word::COST) } } }
                tbody { @for line in &work.inputs { (work_line(line)) } }
                thead { tr { th.what { (word::CAME_OUT) } th.figure { (word::AMOUNT) } th.figure { (word::COST) } } }
                tbody { @for line in &work.made { (work_line(line)) } }
            }
            p { (word::IN_WORK) " " (work.in_work.printed) " · " (word::LOST) " " (work.wasted.printed) }
            (without_price(&work.missing))
        }
    }
}

fn work_line(line: &WorkLineView) -> Markup {
    html! { tr { td.what { (line.item) } td.figure { (said(&line.quantity)) } td.figure { (line.cost.printed) } } }
}
