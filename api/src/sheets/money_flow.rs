//! The stock ledger in money, on paper.

use super::{
    chart::{Bar, bars},
    page::{document, foot},
    texts::{self, money},
};
use crate::messages::Words;
use crate::wire::money_flow::{FlowLineView, MoneyFlowView};
use maud::{Markup, html};

/// Draws both sides of a money flow.
#[must_use]
pub fn draw(words: Words, view: &MoneyFlowView) -> Markup {
    let moved = view.went.iter().filter(|line| line.money.minor_units != 0);
    let went: Vec<Bar> = moved.map(|line| bar(words, line)).collect();
    let body = html! {
        main.sheet.cost {
            p.stamp {
                span { (view.bakery) " · " b { (words.say("costs-money-flow-sheet")) } }
                span { (texts::printed_at(words, &view.made_at)) }
            }
            header {
                h1 { (words.say("costs-money-flow-sheet")) }
                p.load { (words.year_day(&view.from)) " " (words.say("costs-to-sheet")) " " (words.year_day(&view.to)) }
            }
            p { (money::stands_on(words, view.kind)) }
            p { b { (view.printed.told(words)) } }
            @if !view.missing.is_empty() { p.remark { (money::without_price(words, &view.missing)) } }
            (side(words, &words.say("costs-came"), &view.came, view.total.minor_units))
            (side(words, &words.say("costs-went"), &view.went, view.total.minor_units))
            section { h2 { (words.say("costs-went")) } (bars("went", &words.say("costs-went"), &went)) }
            (foot(words, &[]))
        }
    };
    document(
        words,
        &format!("{} {} {}", words.say("costs-money-flow-sheet"), view.from, view.to),
        &body,
    )
}

fn bar(words: Words, line: &FlowLineView) -> Bar {
    let length = i128::from(line.money.minor_units);
    Bar { name: line.name.told(words), length, words: line.printed.told(words) }
}

fn side(words: Words, title: &str, lines: &[FlowLineView], total: i64) -> Markup {
    html! {
        section {
            h2 { (title) }
            table.lines.short {
                tbody {
                    @for line in lines { tr { td.what { (line.name.told(words)) } td.figure { (line.printed.told(words)) } } }
                    tr.total { td.what { b { (words.say("costs-total")) } } td.figure { b { (words.digits(&crate::wire::amount::money_text(total))) } } }
                }
            }
        }
    }
}
