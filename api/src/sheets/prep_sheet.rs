//! The prep sheet on paper: what is made ready beside the doughs, and fruit.

use super::{
    page::{Stamp, allergens, amount, document, foot, notes, stamp, widths},
    texts::{self, prep},
};
use crate::wire::prep_sheet::{PrepFruitView, PrepRowView, PrepSheetView};
use maud::{Markup, html};

/// Draws the prep sheet of a work date.
#[must_use]
pub fn draw(view: &PrepSheetView) -> Markup {
    let title = format!("{} {}", prep::TITLE, view.work_date);
    let own = Stamp {
        bakery: &view.bakery,
        title: prep::TITLE,
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide.prep {
            (stamp(&own, None))
            header {
                h1 { (prep::TITLE) }
                p.load { (texts::day(&view.work_date)) }
            }
            @if view.rows.is_empty() && view.fruit.is_empty() { p { (prep::NOTHING) } }
            @if !view.rows.is_empty() { (made(&own, &view.rows)) }
            @if !view.fruit.is_empty() {
                section { h2 { (prep::FRUIT) } (fruit(&own, &view.fruit)) }
            }
            (notes(&view.notes))
            (foot(&[texts::check_the_label(), prep::LIMITS, texts::no_tasting()]))
        }
    };
    document(&title, &body)
}

fn made(own: &Stamp<'_>, rows: &[PrepRowView]) -> Markup {
    html! {
        table.lines {
            (widths(&["tick", "clock", "item", "amount", "whom", "life", "box-cell", "box-cell", "initials"]))
            thead {
                tr.again { th colspan="9" { (texts::again(&[prep::TITLE], own.work_date, own.plan_revision)) } }
                tr {
                    th {} th { (prep::START) } th { (prep::ITEM) } th.amount { (prep::MASS) }
                    th { (prep::FOR) } th { (prep::USE) } th { (prep::TEMPERATURE) }
                    th { (prep::TIME) } th { (texts::word::INITIALS) }
                }
            }
            tbody { @for one in rows { (row(own.work_date, one)) } }
        }
    }
}

fn row(work_date: &str, row: &PrepRowView) -> Markup {
    html! {
        tr {
            td.tick { span.box {} }
            td.clock {
                (texts::moment_on(work_date, &row.start))
                @if let Some(latest) = row.latest_start.as_ref().filter(|at| **at != row.start) {
                    p.remark { (prep::latest(&texts::moment_on(work_date, latest))) }
                }
            }
            td.item {
                p.name { (row.name) }
                (allergens(&row.allergens))
                @if row.done { p.loud { (prep::DONE) } }
                @if row.feed { p.loud { (texts::feed()) } }
                @for first in &row.use_first { p.loud { (first) } }
                @if row.under_minimum {
                    p.loud { (texts::word::UNDECIDED) ": " (texts::undecided(&row.options)) }
                }
            }
            td.amount { (amount(&row.printed)) p.remark { (prep::loads(row.loads)) } }
            td.whom {
                @for one in &row.used_by {
                    p { (one.name) @if let Some(each) = &one.printed { " " span.whole { (each.amount) " " (each.unit) } } }
                }
                p.remark { (texts::day(&row.service_date)) }
                @if let Some(kept) = &row.keep_back { p { b { (prep::keep_back(&kept.amount, kept.unit)) } } }
            }
            td.life {
                @if let Some(from) = &row.use_from { p { (texts::moment_on(work_date, from)) } }
                @match &row.use_until {
                    Some(until) => p { b { (texts::moment_on(work_date, until)) } },
                    None => p.remark { (prep::NO_LIFE) },
                }
            }
            td.blank {} td.blank {} td.blank {}
        }
    }
}

fn fruit(own: &Stamp<'_>, rows: &[PrepFruitView]) -> Markup {
    html! {
        table.lines {
            (widths(&["tick", "clock", "item", "amount", "gives", "whom", "initials"]))
            thead {
                tr.again { th colspan="7" { (texts::again(&[prep::FRUIT], own.work_date, own.plan_revision)) } }
                tr {
                    th {} th { (prep::START) } th { (prep::ITEM) } th.amount { (prep::FRUITS) }
                    th { (prep::GIVES) } th { (prep::FOR) } th { (texts::word::INITIALS) }
                }
            }
            tbody {
                @for one in rows {
                    tr {
                        td.tick { span.box {} }
                        td.clock { (texts::moment_on(own.work_date, &one.at)) }
                        td.item { p.name { (one.name) } }
                        td.amount { span.digits { (one.fruits) } }
                        td {
                            @for output in &one.outputs {
                                p {
                                    (output.name) " " b { (output.printed.amount) " " (output.printed.unit) }
                                    @if let Some(spare) = &output.from_spare {
                                        " · " (prep::from_spare(&spare.amount, spare.unit))
                                    }
                                    @if output.cut_before > 0 { " · " (prep::cut_before(output.cut_before)) }
                                }
                            }
                        }
                        td.whom { (one.used_by_name) p.remark { (texts::day(&one.service_date)) } }
                        td.blank {}
                    }
                }
            }
        }
    }
}
