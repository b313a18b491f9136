//! The waste report on paper: by reason and by week, with a bar for each.

use super::{
    chart::{Bar, bars},
    page::{document, foot, said},
    texts,
};
use crate::messages::Words;
use crate::wire::waste::{WasteReportView, WasteSumView};
use maud::{Markup, html};

/// Draws a report.
#[must_use]
pub fn draw(words: Words, view: &WasteReportView) -> Markup {
    let title = format!("{} {} {}", words.say("sheet-waste"), view.from, view.to);
    let body = html! {
        main.sheet.wide {
            p.stamp {
                span { (view.bakery) " · " b { (words.say("sheet-waste")) } }
                span { (texts::printed_at(words, &view.made_at)) }
            }
            header {
                h1 { (words.say("sheet-waste")) }
                p.load { (words.year_day(&view.from)) " " (words.say("waste-to")) " " (words.year_day(&view.to)) }
            }
            @if view.lines.is_empty() {
                p { (words.say("waste-nothing-wasted")) }
            } @else {
                p { b { (view.total.statement.told(words)) } }
                (chart(words, "by-reason", &words.say("waste-by-reason"), &view.by_reason))
                (chart(words, "by-week", &words.say("waste-by-week"), &view.by_week))
                (cells(words, view))
                (lines(words, view))
            }
            (foot(words, &[]))
        }
    };
    document(words, &title, &body)
}

fn chart(words: Words, id: &str, title: &str, sums: &[WasteSumView]) -> Markup {
    let bar = |sum: &WasteSumView| Bar {
        name: words.listed("waste-name-", &sum.name),
        length: grams(&sum.mass.amount),
        words: sum.statement.told(words),
    };
    let drawn: Vec<_> = sums.iter().map(bar).collect();
    html! { section { h2 { (title) } (bars(id, title, &drawn)) } }
}

/// Whole grams of a decimal text: a bar need not be finer.
fn grams(amount: &str) -> i128 {
    amount.split('.').next().and_then(|whole| whole.parse().ok()).unwrap_or(0)
}

fn cells(words: Words, view: &WasteReportView) -> Markup {
    html! {
        section {
            h2 { (words.say("waste-by-week-and-reason")) }
            table.lines.short {
                thead { tr { th { (words.say("waste-week")) } th { (words.say("waste-reason")) } th { (words.say("sheet-thrown-away")) } } }
                tbody {
                    @for cell in &view.by_week_and_reason {
                        tr { td { (cell.week) } td { (words.listed("waste-name-", &cell.sum.name)) } td { (cell.sum.statement.told(words)) } }
                    }
                }
            }
        }
    }
}

fn lines(words: Words, view: &WasteReportView) -> Markup {
    html! {
        section {
            h2 { (words.say("waste-lines")) }
            table.lines.short {
                thead {
                    tr {
                        th { (words.say("sheet-when")) } th { (words.say("sheet-what")) } th { (words.say("sheet-lot")) } th { (words.say("sheet-how-much")) } th { (words.say("waste-reason")) }
                        th { (words.say("waste-went-to")) }
                    }
                }
                tbody {
                    @for line in &view.lines {
                        tr {
                            td { (words.moment(&line.at)) }
                            td { (line.item.told(words)) }
                            td { (line.lot.as_deref().map_or_else(|| words.say("waste-no-lot"), str::to_owned)) }
                            td { (said(words, &line.quantity)) }
                            td { (line.reason.as_deref().map_or_else(|| words.say("sheet-not-said"), str::to_owned)) }
                            td { (line.route.as_deref().map_or_else(|| words.say("sheet-not-said"), |route| words.listed("waste-route-", route))) }
                        }
                    }
                }
            }
        }
    }
}
