//! The bench sheet on paper: dough by dough, heaviest piece first.

use super::{
    page::{Stamp, allergens, amount, document, foot, notes, stamp, widths},
    texts,
};
use crate::wire::bench_sheet::{BenchBlockView, BenchLineView, BenchSheetView};
use maud::{Markup, html};

/// The words of this sheet.
mod words {
    pub(super) const TITLE: &str = "Bench sheet";
    pub(super) const NOTHING: &str = "Nothing is divided or shaped on this date.";
    pub(super) const NO_TIME: &str = "no time on file";
    pub(super) const SHARP: &str = "Divider and sheeter: guards closed, hands out.";
    pub(super) const BLANK: &str = "____";
}

/// Draws the bench sheet of a work date.
#[must_use]
pub fn draw(view: &BenchSheetView) -> Markup {
    let title = format!("{} {}", words::TITLE, view.work_date);
    let own = Stamp {
        bakery: &view.bakery,
        title: words::TITLE,
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide.bake {
            (stamp(&own, None))
            header {
                h1 { (words::TITLE) }
                p.load { (texts::day(&view.work_date)) " · for " (texts::days(&view.service_dates)) }
            }
            @if view.blocks.is_empty() { p { (words::NOTHING) } }
            @for one in &view.blocks { (block(&own, one)) }
            (notes(&view.notes))
            (foot(&[texts::check_the_label(), words::SHARP, texts::flour_dust(), texts::no_tasting()]))
        }
    };
    document(&title, &body)
}

fn block(own: &Stamp<'_>, block: &BenchBlockView) -> Markup {
    let start = block
        .start
        .as_deref()
        .map_or(words::NO_TIME.to_owned(), |at| texts::moment_on(own.work_date, at));
    let until = block.end.as_deref().map(|at| texts::moment_on(own.work_date, at));
    let columns = ["tick", "weight", "item", "few", "per-load", "few", "topping", "to", "clock"];
    html! {
        section.group {
            table.lines {
                (widths(&columns))
                thead {
                    tr.again {
                        th colspan="9" {
                            b.oven { (start) @if let Some(until) = until { " - " (until) } " · " (block.name) }
                            (texts::again(&[words::TITLE], own.work_date, own.plan_revision))
                            " · for " (texts::day(&block.service_date))
                        }
                    }
                    tr {
                        th {} th { "scale weight" } th { "product" } th { "pieces" } th { "load by load" }
                        th { "trays" } th { "on or in each" } th { "to" } th { "next at" }
                    }
                }
                tbody { @for one in &block.lines { (line(own.work_date, one)) } }
            }
            (allergens(&block.allergens))
        }
    }
}

fn line(work_date: &str, line: &BenchLineView) -> Markup {
    html! {
        tr {
            td { span.box {} }
            td.weight { @match &line.printed { Some(printed) => (amount(printed)), None => "-" } }
            td.item {
                p.name { (line.name) }
                @if !line.undecided.is_empty() { p.loud { (texts::too_little(&line.undecided)) } }
            }
            td.clock { (line.pieces) }
            td.per-load { (line.per_load.iter().map(ToString::to_string).collect::<Vec<_>>().join(" + ")) }
            td.clock {
                @match line.trays { Some(trays) => (trays), None => "-" }
                @if let Some(each) = line.per_tray { p.remark { "of " (each) } }
            }
            td.topping { @for one in &line.goes_on { p { (one.name) @if let Some(each) = &one.printed { " " span.whole { (each.amount) " " (each.unit) } } } } }
            td.to { (line.to.as_deref().unwrap_or(words::BLANK)) }
            td.clock {
                @match &line.next_at { Some(at) => (texts::moment_on(work_date, at)), None => (words::BLANK) }
            }
        }
    }
}
