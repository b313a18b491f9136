//! The drop sheet on paper: a page for each van run, stop after stop, last off first.

use super::{
    page::{Stamp, allergens, document, foot, notes, stamp, widths},
    texts::{self, drop},
};
use crate::wire::drop_sheet::{DropLineView, DropRunView, DropSheetView, DropStopView};
use maud::{Markup, html};

/// Draws the drop sheet of a service date.
#[must_use]
pub fn draw(view: &DropSheetView) -> Markup {
    let title = format!("{} {}", drop::TITLE, view.service_date);
    let own = Stamp {
        bakery: &view.bakery,
        title: drop::TITLE,
        work_date: &view.service_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let sheets = view.runs.len();
    let body = html! {
        @if view.runs.is_empty() {
            main.sheet { (stamp(&own, None)) h1 { (drop::NOTHING) } (notes(&view.notes)) (foot(&[])) }
        }
        @for (number, one) in view.runs.iter().enumerate() {
            main.sheet.drop {
                (stamp(&own, Some((number + 1, sheets))))
                (run(&own, one))
                @if number == 0 { (notes(&view.notes)) }
                (foot(&[drop::ASK]))
            }
        }
    };
    document(&title, &body)
}

fn run(own: &Stamp<'_>, run: &DropRunView) -> Markup {
    let at = run.at.as_deref().map(|at| texts::moment_on(own.work_date, at));
    let at = at.unwrap_or_else(|| drop::NO_TIME.to_owned());
    html! {
        header {
            h1 { (at) }
            p.load { (run.run.as_deref().unwrap_or(drop::NO_RUN)) }
        }
        @if run.stops.len() > 1 { p.remark { (drop::LAST_OFF_FIRST) } }
        @for one in &run.stops { (stop(own, &at, one)) }
    }
}

fn stop(own: &Stamp<'_>, at: &str, stop: &DropStopView) -> Markup {
    html! {
        section {
            table.lines {
                (widths(&["tick", "item", "ordered", "packed", "said"]))
                thead {
                    tr.again {
                        th colspan="5" {
                            b.oven { (stop.name) @if let Some(number) = stop.stop { " · " (drop::stop(number)) } }
                            (texts::again(&[drop::TITLE, at], own.work_date, own.plan_revision))
                            " · " (texts::pieces(stop.pieces))
                            @if !stop.avoids.is_empty() { " · " b { (drop::avoids(&stop.avoids)) } }
                        }
                    }
                    tr {
                        th {} th { (drop::PRODUCT) } th.amount { (drop::ORDERED) }
                        th { (drop::PACKED) } th { (drop::ALLERGENS) }
                    }
                }
                tbody { @for one in &stop.lines { (line(one)) } }
            }
            p.blanks { @for blank in drop::BLANKS { span { (blank) } } }
        }
    }
}

fn line(line: &DropLineView) -> Markup {
    let short = line.pieces < line.asked;
    html! {
        tr {
            td.tick { span.box {} }
            td.item {
                p.name { (line.name) }
                @for reason in &line.reasons { p.loud { (reason) } }
                @if let Some(stop) = &line.stop { p.loud { (stop) } }
            }
            td.amount {
                @if short { span.digits { (drop::short(line.pieces, line.asked)) } }
                @else { span.digits { (line.pieces) } }
                @if let Some(packs) = drop::packs(line.pieces, line.sale_pack) { p.remark { (packs) } }
            }
            td.blank {}
            td.said { (allergens(&line.allergens)) }
        }
    }
}
