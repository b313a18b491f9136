//! The drop sheet on paper: a page for each van run, stop after stop, last off first.

use super::{
    page::{Stamp, allergens, document, foot, notes, stamp, widths},
    texts::{self, drop},
};
use crate::messages::Words;
use crate::wire::drop_sheet::{DropLineView, DropRunView, DropSheetView, DropStopView};
use maud::{Markup, html};

/// Blanks under a stop.
const BLANKS: [&str; 3] =
    ["drop-sheet-crates-out", "drop-sheet-crates-back", "drop-sheet-received-by"];

/// Draws the drop sheet of a service date.
#[must_use]
pub fn draw(words: Words, view: &DropSheetView) -> Markup {
    let title = format!("{} {}", words.say("sheet-drop-sheet"), view.service_date);
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("sheet-drop-sheet"),
        work_date: &view.service_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let sheets = view.runs.len();
    let body = html! {
        @if view.runs.is_empty() {
            main.sheet { (stamp(&own, None)) h1 { (words.say("drop-sheet-nothing")) } (notes(words, &view.notes)) (foot(words, &[])) }
        }
        @for (number, one) in view.runs.iter().enumerate() {
            main.sheet.drop {
                (stamp(&own, Some((number + 1, sheets))))
                (run(words, &own, one))
                @if number == 0 { (notes(words, &view.notes)) }
                (foot(words, &[words.say("drop-sheet-ask")]))
            }
        }
    };
    document(words, &title, &body)
}

fn run(words: Words, own: &Stamp<'_>, run: &DropRunView) -> Markup {
    let at = run.at.as_deref().map(|at| words.moment_on(own.work_date, at));
    let at = at.unwrap_or_else(|| words.say("drop-sheet-no-time"));
    html! {
        header {
            h1 { (at) }
            p.load { (run.run.as_deref().map_or_else(|| words.say("drop-sheet-no-run"), str::to_owned)) }
        }
        @if run.stops.len() > 1 { p.remark { (words.say("drop-sheet-last-off-first")) } }
        @for one in &run.stops { (stop(words, own, &at, one)) }
    }
}

fn stop(words: Words, own: &Stamp<'_>, at: &str, stop: &DropStopView) -> Markup {
    html! {
        section {
            table.lines {
                (widths(&["tick", "item", "ordered", "packed", "said"]))
                thead {
                    tr.again {
                        th colspan="5" {
                            b.oven { (stop.name) @if let Some(number) = stop.stop { " · " (drop::stop(words, number)) } }
                            (texts::again(words, &[&words.say("sheet-drop-sheet"), at], own.work_date, own.plan_revision))
                            " · " (texts::pieces(words, stop.pieces))
                            @if !stop.avoids.is_empty() { " · " b { (drop::avoids(words, &stop.avoids)) } }
                        }
                    }
                    tr {
                        th {} th { (words.say("sheet-product")) } th.amount { (words.say("drop-sheet-ordered")) }
                        th { (words.say("drop-sheet-packed")) } th { (words.say("drop-sheet-allergens")) }
                    }
                }
                tbody { @for one in &stop.lines { (line(words, one)) } }
            }
            p.blanks { @for blank in BLANKS { span { (words.say(blank)) } } }
        }
    }
}

fn line(words: Words, line: &DropLineView) -> Markup {
    let short = line.pieces < line.asked;
    html! {
        tr {
            td.tick { span.box {} }
            td.item {
                p.name { (line.name) }
                @for reason in &line.reasons { p.loud { (reason.told(words)) } }
                @if let Some(stop) = &line.stop { p.loud { (stop.told(words)) } }
            }
            td.amount {
                @if short { span.digits { (drop::short(words, line.pieces, line.asked)) } }
                @else { span.digits { (line.pieces) } }
                @if let Some(packs) = drop::packs(line.pieces, line.sale_pack) { p.remark { (packs) } }
            }
            td.blank {}
            td.said { (allergens(words, &line.allergens)) }
        }
    }
}
