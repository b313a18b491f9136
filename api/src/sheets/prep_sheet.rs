//! The prep sheet on paper: what is made ready beside the doughs, and fruit.

use super::{
    page::{Stamp, allergens, amount, document, foot, notes, stamp, widths},
    texts::{self, prep},
};
use crate::messages::Words;
use crate::wire::prep_sheet::{PrepFruitView, PrepRowView, PrepSheetView};
use maud::{Markup, html};

/// Draws the prep sheet of a work date.
#[must_use]
pub fn draw(words: Words, view: &PrepSheetView) -> Markup {
    let title = format!("{} {}", words.say("sheet-prep-sheet"), view.work_date);
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("sheet-prep-sheet"),
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide.prep {
            (stamp(&own, None))
            header {
                h1 { (words.say("sheet-prep-sheet")) }
                p.load { (words.day_of(&view.work_date)) }
            }
            @if view.rows.is_empty() && view.fruit.is_empty() { p { (words.say("prep-sheet-nothing")) } }
            @if !view.rows.is_empty() { (made(words, &own, &view.rows)) }
            @if !view.fruit.is_empty() {
                section { h2 { (words.say("prep-sheet-fruit")) } (fruit(words, &own, &view.fruit)) }
            }
            (notes(words, &view.notes))
            (foot(words, &[words.say("caution-label"), words.say("prep-sheet-limits"), words.say("caution-taste")]))
        }
    };
    document(words, &title, &body)
}

fn made(words: Words, own: &Stamp<'_>, rows: &[PrepRowView]) -> Markup {
    html! {
        table.lines {
            (widths(&["tick", "clock", "item", "amount", "whom", "life", "box-cell", "box-cell", "initials"]))
            thead {
                tr.again { th colspan="9" { (texts::again(words, &[&words.say("sheet-prep-sheet")], own.work_date, own.plan_revision)) } }
                tr {
                    th {} th { (words.say("prep-sheet-start")) } th { (words.say("prep-sheet-item")) } th.amount { (words.say("prep-sheet-mass")) }
                    th { (words.say("sheet-for")) } th { (words.say("prep-sheet-use")) } th { (words.say("prep-sheet-temperature")) }
                    th { (words.say("prep-sheet-time")) } th { (words.say("sheet-initials")) }
                }
            }
            tbody { @for one in rows { (row(words, own.work_date, one)) } }
        }
    }
}

fn row(words: Words, work_date: &str, row: &PrepRowView) -> Markup {
    html! {
        tr {
            td.tick { span.box {} }
            td.clock {
                (words.moment_on(work_date, &row.start))
                @if let Some(latest) = row.latest_start.as_ref().filter(|at| **at != row.start) {
                    p.remark { (prep::latest(words, &words.moment_on(work_date, latest))) }
                }
            }
            td.item {
                p.name { (row.name) }
                (allergens(words, &row.allergens))
                @if row.done { p.loud { (words.say("prep-sheet-done")) } }
                @if row.feed { p.loud { (words.say("sheet-feed")) } }
                @for first in &row.use_first { p.loud { (first.told(words)) } }
                @if row.under_minimum {
                    p.loud { (words.say("sheet-undecided")) ": " (texts::undecided(words, &row.options)) }
                }
            }
            td.amount { (amount(words, &row.printed)) p.remark { (prep::loads(words, row.loads)) } }
            td.whom {
                @for one in &row.used_by {
                    p { (one.name) @if let Some(each) = &one.printed { " " span.whole { (words.amount(&each.amount, each.unit)) } } }
                }
                p.remark { (words.day_of(&row.service_date)) }
                @if let Some(kept) = &row.keep_back { p { b { (prep::keep_back(words, &kept.amount, kept.unit)) } } }
            }
            td.life {
                @if let Some(from) = &row.use_from { p { (words.moment_on(work_date, from)) } }
                @match &row.use_until {
                    Some(until) => p { b { (words.moment_on(work_date, until)) } },
                    None => p.remark { (words.say("prep-sheet-no-life")) },
                }
            }
            td.blank {} td.blank {} td.blank {}
        }
    }
}

fn fruit(words: Words, own: &Stamp<'_>, rows: &[PrepFruitView]) -> Markup {
    html! {
        table.lines {
            (widths(&["tick", "clock", "item", "amount", "gives", "whom", "initials"]))
            thead {
                tr.again { th colspan="7" { (texts::again(words, &[&words.say("prep-sheet-fruit")], own.work_date, own.plan_revision)) } }
                tr {
                    th {} th { (words.say("prep-sheet-start")) } th { (words.say("prep-sheet-item")) } th.amount { (words.say("prep-sheet-fruits")) }
                    th { (words.say("prep-sheet-gives")) } th { (words.say("sheet-for")) } th { (words.say("sheet-initials")) }
                }
            }
            tbody {
                @for one in rows {
                    tr {
                        td.tick { span.box {} }
                        td.clock { (words.moment_on(own.work_date, &one.at)) }
                        td.item { p.name { (one.name) } }
                        td.amount { span.digits { (one.fruits) } }
                        td {
                            @for output in &one.outputs {
                                p {
                                    (output.name) " " b { (words.amount(&output.printed.amount, output.printed.unit)) }
                                    @if let Some(spare) = &output.from_spare {
                                        " · " (prep::from_spare(words, &spare.amount, spare.unit))
                                    }
                                    @if output.cut_before > 0 { " · " (prep::cut_before(words, output.cut_before)) }
                                }
                            }
                        }
                        td.whom { (one.used_by_name) p.remark { (words.day_of(&one.service_date)) } }
                        td.blank {}
                    }
                }
            }
        }
    }
}
