//! The waste report on paper: by reason and by week, with a bar for each.

use super::{
    chart::{Bar, bars},
    page::{document, foot, said},
    texts::{self, word},
};
use crate::wire::waste::{WasteReportView, WasteSumView};
use maud::{Markup, html};

/// Draws a report.
#[must_use]
pub fn draw(view: &WasteReportView) -> Markup {
    let title = format!("{} {} {}", word::WASTE, view.from, view.to);
    let body = html! {
        main.sheet.wide {
            p.stamp {
                span { (view.bakery) " · " b { (word::WASTE) } }
                span { (texts::printed_at(&view.made_at)) }
            }
            header {
                h1 { (word::WASTE) }
                p.load { (texts::full_day(&view.from)) " to " (texts::full_day(&view.to)) }
            }
            @if view.lines.is_empty() {
                p { (word::NOTHING_WASTED) }
            } @else {
                p { b { (view.total.statement) } }
                (chart("by-reason", word::WASTE_BY_REASON, &view.by_reason))
                (chart("by-week", word::WASTE_BY_WEEK, &view.by_week))
                (cells(view))
                (lines(view))
            }
            (foot(&[]))
        }
    };
    document(&title, &body)
}

fn chart(id: &str, title: &str, sums: &[WasteSumView]) -> Markup {
    let bar = |sum: &WasteSumView| Bar {
        name: sum.name.clone(),
        length: grams(&sum.mass.amount),
        words: sum.statement.clone(),
    };
    let drawn: Vec<_> = sums.iter().map(bar).collect();
    html! { section { h2 { (title) } (bars(id, title, &drawn)) } }
}

/// Whole grams of a decimal text: a bar need not be finer.
fn grams(amount: &str) -> i128 {
    amount.split('.').next().and_then(|whole| whole.parse().ok()).unwrap_or(0)
}

fn cells(view: &WasteReportView) -> Markup {
    html! {
        section {
            h2 { (word::WASTE_BY_WEEK_AND_REASON) }
            table.lines.short {
                thead { tr { th { "week" } th { "reason" } th { "thrown away" } } }
                tbody {
                    @for cell in &view.by_week_and_reason {
                        tr { td { (cell.week) } td { (cell.sum.name) } td { (cell.sum.statement) } }
                    }
                }
            }
        }
    }
}

fn lines(view: &WasteReportView) -> Markup {
    html! {
        section {
            h2 { (word::WASTE_LINES) }
            table.lines.short {
                thead {
                    tr {
                        th { "when" } th { "what" } th { "lot" } th { "how much" } th { "reason" }
                        th { "to" }
                    }
                }
                tbody {
                    @for line in &view.lines {
                        tr {
                            td { (texts::moment(&line.at)) }
                            td { (line.item) }
                            td { (line.lot.as_deref().unwrap_or("no lot")) }
                            td { (said(&line.quantity)) }
                            td { (line.reason.as_deref().unwrap_or("not said")) }
                            td { (line.route.as_deref().unwrap_or("not said")) }
                        }
                    }
                }
            }
        }
    }
}
