//! The times of a service date on paper: every step of every product's way to its drop.

use super::{
    page::{Stamp, document, foot, notes, stamp, widths},
    texts,
};
use crate::messages::Words;
use crate::wire::{
    amount::span,
    schedule::{ProductScheduleView, ScheduleView, StepTimeView},
};
use maud::{Markup, html};
use std::collections::BTreeSet;

/// How many pieces, and which part of them.
fn amount(words: Words, pieces: i64, part: u32) -> String {
    let pieces = texts::pieces(words, pieces);
    if part > 1 {
        let part = part.to_string();
        words.tell("schedule-part", &[("pieces", pieces.into()), ("part", part.into())])
    } else {
        pieces
    }
}

/// Why no time fits.
fn misses(words: Words, step: &str, reason: &str, minutes: Option<i64>) -> String {
    let missed = if reason == "staff" { "schedule-misses-staff" } else { "schedule-misses-window" };
    let missed = words.tell(missed, &[("step", step.into())]);
    match minutes {
        Some(minutes) => words.tell(
            "schedule-misses-by",
            &[("missed", missed.into()), ("span", span(minutes).into())],
        ),
        None => missed,
    }
}

/// Draws the times of a service date.
#[must_use]
pub fn draw(words: Words, view: &ScheduleView) -> Markup {
    let title = format!("{} {}", words.say("sheet-schedule"), view.service_date);
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("sheet-schedule"),
        work_date: &view.service_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide.bake {
            (stamp(&own, None))
            header {
                h1 { (words.say("sheet-schedule")) }
                p.load { (words.say("sheet-for")) " " (words.year_day(&view.service_date)) }
            }
            @if view.products.is_empty() { p { (words.say("schedule-nothing")) } }
            @for one in &view.products { (product(words, &own, one)) }
            (loads(words, &own, view))
            (notes(words, &view.notes))
            (foot(words, &[]))
        }
    };
    document(words, &title, &body)
}

fn product(words: Words, own: &Stamp<'_>, product: &ProductScheduleView) -> Markup {
    let changes = changes_clock(&product.steps);
    html! {
        section.group {
            table.lines {
                (widths(&["item", "act-by", "act-by", "topping", "to"]))
                thead {
                    tr.again {
                        th colspan="5" {
                            b.oven { (product.name) " · " (amount(words, product.pieces, product.part)) @if product.par_baked { " · " (words.say("schedule-par-baked")) } }
                            " · " (words.say("sheet-drop")) " " (at(words, &product.drop, changes)) " "
                            (texts::again(words, &[&words.say("sheet-schedule")], own.work_date, own.plan_revision))
                        }
                    }
                    tr { th { (words.say("schedule-step")) } th { (words.say("schedule-from")) } th { (words.say("schedule-to")) } th { (words.say("schedule-lasts")) } th { (words.say("sheet-where")) } }
                }
                tbody {
                    @for one in &product.steps { (step(words, one, changes)) }
                    @if let Some(why) = &product.no_fit {
                        tr {
                            td.item { b { (words.say("schedule-no-time")) } }
                            td colspan="4" { (misses(words, &why.step, why.reason, why.minutes)) }
                        }
                    }
                }
            }
        }
    }
}

fn step(words: Words, step: &StepTimeView, changes: bool) -> Markup {
    html! {
        tr {
            td.item { p.name { (step.step) } }
            td.clock { (at(words, &step.start, changes)) }
            td.to { (until(words, step, changes)) }
            td.to { (span(step.elapsed_minutes)) }
            td.to { @if let Some(station) = &step.station { (station.code.told(words)) } }
        }
    }
}

fn loads(words: Words, own: &Stamp<'_>, view: &ScheduleView) -> Markup {
    let timed = || view.batches.iter().filter(|batch| !batch.loads.is_empty());
    html! {
        @if timed().next().is_some() {
            section.group {
                table.lines {
                    (widths(&["item", "act-by", "act-by", "to"]))
                    thead {
                        tr.again {
                            th colspan="4" {
                                b.oven { (words.say("schedule-mixers")) } " "
                                (texts::again(words, &[&words.say("sheet-schedule")], own.work_date, own.plan_revision))
                            }
                        }
                        tr { th { (words.say("schedule-dough-load")) } th { (words.say("schedule-in")) } th { (words.say("schedule-out")) } th { (words.say("sheet-mixer")) } }
                    }
                    tbody {
                        @for batch in timed() {
                            @for load in &batch.loads {
                                tr {
                                    td.item { p.name { (batch.name) " " (load.load) } }
                                    td.clock { (words.moment(&load.start)) }
                                    td.clock { (words.moment(&load.end)) }
                                    td.to { (load.mixer.told(words)) }
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
fn until(words: Words, step: &StepTimeView, changes: bool) -> String {
    let date = step.start.get(..10).filter(|_| !changes);
    date.map_or_else(|| at(words, &step.end, changes), |date| words.moment_on(date, &step.end))
}

/// A local instant, with its offset where the clock changes.
fn at(words: Words, instant: &str, changes: bool) -> String {
    let said = words.moment(instant);
    match offset(instant).filter(|_| changes) {
        Some(offset) => format!("{said} ({offset})"),
        None => said,
    }
}
