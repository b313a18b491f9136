//! The times of a service date on paper: every step of every product's way to its drop.

use super::{
    page::{Stamp, document, foot, notes, stamp, widths},
    texts,
};
use crate::wire::{
    amount::span,
    schedule::{ProductScheduleView, ScheduleView, StepTimeView},
};
use maud::{Markup, html};
use std::collections::BTreeSet;

/// The words of this sheet.
mod words {
    use super::span;

    pub(super) const TITLE: &str = "Times of all steps";
    pub(super) const NOTHING: &str = "No product of this date has a route.";
    pub(super) const MIXERS: &str = "Loads in their mixers";
    pub(super) const PAR_BAKED: &str = "par-baked: finish only";
    pub(super) const NO_TIME: &str = "no time fits";

    pub(super) fn amount(pieces: i64, part: u32) -> String {
        if part > 1 { format!("{pieces} pieces, part {part}") } else { format!("{pieces} pieces") }
    }

    pub(super) fn misses(step: &str, reason: &str, minutes: Option<i64>) -> String {
        let by = minutes.map_or_else(String::new, |minutes| format!(" by {}", span(minutes)));
        let what = if reason == "staff" { "staffed hours" } else { "age window" };
        format!("step {step} misses its {what}{by}")
    }
}

/// Draws the times of a service date.
#[must_use]
pub fn draw(view: &ScheduleView) -> Markup {
    let title = format!("{} {}", words::TITLE, view.service_date);
    let own = Stamp {
        bakery: &view.bakery,
        title: words::TITLE,
        work_date: &view.service_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide.bake {
            (stamp(&own, None))
            header {
                h1 { (words::TITLE) }
                p.load { "for " (texts::full_day(&view.service_date)) }
            }
            @if view.products.is_empty() { p { (words::NOTHING) } }
            @for one in &view.products { (product(&own, one)) }
            (loads(&own, view))
            (notes(&view.notes))
            (foot(&[]))
        }
    };
    document(&title, &body)
}

fn product(own: &Stamp<'_>, product: &ProductScheduleView) -> Markup {
    let changes = changes_clock(&product.steps);
    html! {
        section.group {
            table.lines {
                (widths(&["item", "act-by", "act-by", "topping", "to"]))
                thead {
                    tr.again {
                        th colspan="5" {
                            b.oven { (product.name) " · " (words::amount(product.pieces, product.part)) @if product.par_baked { " · " (words::PAR_BAKED) } }
                            " · drop " (at(&product.drop, changes)) " "
                            (texts::again(&[words::TITLE], own.work_date, own.plan_revision))
                        }
                    }
                    tr { th { "step" } th { "from" } th { "to" } th { "lasts" } th { "where" } }
                }
                tbody {
                    @for one in &product.steps { (step(one, changes)) }
                    @if let Some(why) = &product.no_fit {
                        tr {
                            td.item { b { (words::NO_TIME) } }
                            td colspan="4" { (words::misses(&why.step, why.reason, why.minutes)) }
                        }
                    }
                }
            }
        }
    }
}

fn step(step: &StepTimeView, changes: bool) -> Markup {
    html! {
        tr {
            td.item { p.name { (step.step) } }
            td.clock { (at(&step.start, changes)) }
            td.to { (until(step, changes)) }
            td.to { (span(step.elapsed_minutes)) }
            td.to { @if let Some(station) = &step.station { (station.code) } }
        }
    }
}

fn loads(own: &Stamp<'_>, view: &ScheduleView) -> Markup {
    let timed = || view.batches.iter().filter(|batch| !batch.loads.is_empty());
    html! {
        @if timed().next().is_some() {
            section.group {
                table.lines {
                    (widths(&["item", "act-by", "act-by", "to"]))
                    thead {
                        tr.again {
                            th colspan="4" {
                                b.oven { (words::MIXERS) } " "
                                (texts::again(&[words::TITLE], own.work_date, own.plan_revision))
                            }
                        }
                        tr { th { "dough, load" } th { "in" } th { "out" } th { "mixer" } }
                    }
                    tbody {
                        @for batch in timed() {
                            @for load in &batch.loads {
                                tr {
                                    td.item { p.name { (batch.name) " " (load.load) } }
                                    td.clock { (texts::moment(&load.start)) }
                                    td.clock { (texts::moment(&load.end)) }
                                    td.to { (load.mixer) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Whether the clock on the wall changes somewhere between two steps.
fn changes_clock(steps: &[StepTimeView]) -> bool {
    let offsets: BTreeSet<Option<&str>> =
        steps.iter().flat_map(|step| [offset(&step.start), offset(&step.end)]).collect();
    offsets.len() > 1
}

fn offset(instant: &str) -> Option<&str> {
    instant.get(instant.len().saturating_sub(6)..)
}

/// The end of a step: the day only if it is another.
fn until(step: &StepTimeView, changes: bool) -> String {
    let date = step.start.get(..10).filter(|_| !changes);
    date.map_or_else(|| at(&step.end, changes), |date| texts::moment_on(date, &step.end))
}

/// A local instant, with its offset where the clock changes.
fn at(instant: &str, changes: bool) -> String {
    let said = texts::moment(instant);
    match offset(instant).filter(|_| changes) {
        Some(offset) => format!("{said} ({offset})"),
        None => said,
    }
}
