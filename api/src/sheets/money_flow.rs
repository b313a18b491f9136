//! The stock ledger in money, on paper.

use super::{
    chart::{Bar, bars},
    page::{document, foot},
    texts::{self, cost as word},
};
use crate::wire::money_flow::{FlowLineView, MoneyFlowView};
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
