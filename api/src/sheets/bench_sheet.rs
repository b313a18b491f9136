//! The bench sheet on paper: dough by dough, heaviest piece first.

use super::{
    page::{Stamp, allergens, amount, document, foot, notes, stamp, widths},
    texts,
};
use crate::messages::Words;
use crate::wire::bench_sheet::{BenchBlockView, BenchLineView, BenchSheetView};
use maud::{Markup, html};

/// Draws the bench sheet of a work date.
#[must_use]
pub fn draw(words: Words, view: &BenchSheetView) -> Markup {
    let title = format!("{} {}", words.say("sheet-bench-sheet"), view.work_date);
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("sheet-bench-sheet"),
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide.bake {
            (stamp(&own, None))
            header {
                h1 { (words.say("sheet-bench-sheet")) }
                p.load { (words.day_of(&view.work_date)) " · " (words.say("sheet-for")) " " (words.days_of(&view.service_dates)) }
            }
            @if view.blocks.is_empty() { p { (words.say("bench-sheet-nothing")) } }
            @for one in &view.blocks { (block(words, &own, one)) }
            (notes(words, &view.notes))
            (foot(words, &[words.say("caution-label"), words.say("bench-sheet-sharp"), words.say("caution-dust"), words.say("caution-taste")]))
        }
    };
    document(words, &title, &body)
}

fn block(words: Words, own: &Stamp<'_>, block: &BenchBlockView) -> Markup {
    let start = block
        .start
        .as_deref()
        .map_or(words.say("bench-sheet-no-time"), |at| words.moment_on(own.work_date, at));
    let until = block.end.as_deref().map(|at| words.moment_on(own.work_date, at));
    let columns = ["tick", "weight", "item", "few", "per-load", "few", "topping", "to", "clock"];
    html! {
        section.group {
            table.lines {
                (widths(&columns))
                thead {
                    tr.again {
                        th colspan="9" {
                            b.oven { (start) @if let Some(until) = until { " - " (until) } " · " (block.name) }
                            (texts::again(words, &[&words.say("sheet-bench-sheet")], own.work_date, own.plan_revision))
                            " · " (words.say("sheet-for")) " " (words.day_of(&block.service_date))
                        }
                    }
                    tr {
                        th {} th { (words.say("bench-sheet-scale-weight")) } th { (words.say("sheet-product")) } th { (words.say("sheet-pieces")) } th { (words.say("bench-sheet-load-by-load")) }
                        th { (words.say("sheet-trays")) } th { (words.say("bench-sheet-on-or-in-each")) } th { (words.say("bench-sheet-to")) } th { (words.say("bench-sheet-next-at")) }
                    }
                }
                tbody { @for one in &block.lines { (line(words, own.work_date, one)) } }
            }
            (allergens(words, &block.allergens))
        }
    }
}

fn line(words: Words, work_date: &str, line: &BenchLineView) -> Markup {
    html! {
        tr {
            td { span.box {} }
            td.weight { @match &line.printed { Some(printed) => (amount(words, printed)), None => "-" } }
            td.item {
                p.name { (line.name) }
                @if !line.undecided.is_empty() { p.loud { (texts::too_little(words, &line.undecided)) } }
            }
            td.clock { (line.pieces) }
            td.per-load { (line.per_load.iter().map(ToString::to_string).collect::<Vec<_>>().join(" + ")) }
            td.clock {
                @match line.trays { Some(trays) => (trays), None => "-" }
                @if let Some(each) = line.per_tray { p.remark { (words.say("bench-sheet-of")) " " (each) } }
            }
            td.topping { @for one in &line.goes_on { p { (one.name) @if let Some(each) = &one.printed { " " span.whole { (words.amount(&each.amount, each.unit)) } } } } }
            td.to { (line.to.as_deref().unwrap_or("____")) }
            td.clock {
                @match &line.next_at { Some(at) => (words.moment_on(work_date, at)), None => "____" }
            }
        }
    }
}
