//! The stock ledger in money, on paper.

use super::{
    chart::{Bar, bars},
    page::{document, foot, notes, said},
    texts::{self, cost as word},
};
use crate::wire::money_flow::{
    ActualCostView, FlowLineView, MoneyFlowView, ProductActualView, WorkCostView, WorkLineView,
};
use maud::{Markup, html};

/// Draws both sides of a money flow.
#[must_use]
pub fn draw(view: &MoneyFlowView) -> Markup {
    let moved = view.went.iter().filter(|line| line.money.minor_units != 0);
    let went: Vec<Bar> = moved.map(bar).collect();
    let body = html! {
        main.sheet.cost {
            p.stamp {
                span { (view.bakery) " · " b { (word::MONEY_FLOW) } }
                span { (texts::printed_at(&view.made_at)) }
            }
            header {
                h1 { (word::MONEY_FLOW) }
                p.load { (texts::full_day(&view.from)) " to " (texts::full_day(&view.to)) }
            }
            p { (word::stands_on(view.kind)) }
            p { b { (view.printed) } }
            @if !view.missing.is_empty() { p.remark { (word::without_price(&view.missing)) } }
            (side(word::CAME, &view.came, view.total.minor_units))
            (side(word::WENT, &view.went, view.total.minor_units))
            section { h2 { (word::WENT) } (bars("went", word::WENT, &went)) }
            (foot(&[]))
        }
    };
    document(&format!("{} {} {}", word::MONEY_FLOW, view.from, view.to), &body)
}

fn bar(line: &FlowLineView) -> Bar {
    let length = i128::from(line.money.minor_units);
    Bar { name: line.name.to_owned(), length, words: line.printed.clone() }
}

fn side(title: &str, lines: &[FlowLineView], total: i64) -> Markup {
    html! {
        section {
            h2 { (title) }
            table.lines.short {
                tbody {
                    @for line in lines { tr { td.what { (line.name) } td.figure { (line.printed) } } }
                    tr.total { td.what { b { (word::TOTAL) } } td.figure { b { (crate::wire::amount::money_text(total)) } } }
                }
            }
        }
    }
}

/// Draws what loads really cost.
#[must_use]
pub fn draw_actual(view: &ActualCostView) -> Markup {
    let title = word::title(view.kind);
    let body = html! {
        main.sheet.cost {
            p.stamp {
                span { (view.bakery) " · " b { (title) } " · " (texts::full_day(&view.service_date)) }
                span { (texts::printed_at(&view.made_at)) }
            }
            header { h1 { (title) } p.load { (texts::full_day(&view.service_date)) } }
            p { (word::stands_on(view.kind)) }
            (notes(&view.notes))
            @if !view.products.is_empty() { (products(&view.products)) }
            @for work in &view.works { (work_block(work)) }
            (foot(&[]))
        }
    };
    document(&format!("{title} {}", view.service_date), &body)
}

fn products(products: &[ProductActualView]) -> Markup {
    html! {
        section {
            h2 { (word::PRODUCTS) }
            table.lines.short {
                thead { tr { th.what { (word::PRODUCT) } th.figure { (word::PIECES) } th.figure { (word::COST) } th.figure { (word::GOOD_PIECE) } } }
                tbody {
                    @for line in products {
                        tr {
                            td.what { (line.product) }
                            td.figure { (line.pieces.amount) }
                            td.figure { (line.cost.printed) }
                            td.figure { b { (line.printed) } }
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
            @if !work.missing.is_empty() { p.remark { (word::without_price(&work.missing)) } }
        }
    }
}

fn work_line(line: &WorkLineView) -> Markup {
    html! { tr { td.what { (line.item) } td.figure { (said(&line.quantity)) } td.figure { (line.cost.printed) } } }
}
