//! The bake sheet on paper: big and wide, to be read beside an oven.

mod words;

use super::{
    page::{Stamp, allergens, document, foot, notes, stamp, widths},
    texts,
};
use crate::wire::bake_sheet::{
    BakeSheetView, CountBackView, FillingView, OvenFillingsView, ProveView,
};
use crate::wire::findings::ahead_words;
use maud::{Markup, html};

/// Draws the bake sheet of a work date.
#[must_use]
pub fn draw(view: &BakeSheetView) -> Markup {
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
            (stamp(&own, Some((1, 2))))
            header {
                h1 { (words::TITLE) }
                p.load { (texts::day(&view.work_date)) " · for " (texts::days(&view.service_dates)) }
            }
            @if view.ovens.is_empty() { p { (words::NOTHING) } }
            @for oven in &view.ovens { (oven_day(&own, oven)) }
            (notes(&view.notes))
            (proves(view))
            (foot(&[words::HOT, words::NO_POOLING]))
        }
        main.sheet.wide.bake {
            (stamp(&own, Some((2, 2))))
            header { h1 { (words::COUNT_BACK) } p.load { (texts::day(&view.work_date)) } }
            (counts(&own, &view.counts))
            p.remark { (words::COUNT_ONCE) }
            (foot(&[texts::check_the_label()]))
        }
    };
    document(&title, &body)
}

fn oven_day(own: &Stamp<'_>, oven: &OvenFillingsView) -> Markup {
    let name = oven.name.as_deref().or(oven.oven.as_deref()).unwrap_or(words::NO_DECK);
    let columns = [
        "tick", "clock", "deck", "item", "few", "few", "heat", "few", "clock", "core", "finish",
        "clock", "clock",
    ];
    html! {
        section {
            table.lines {
                (widths(&columns))
                thead {
                    tr.again {
                        th colspan="13" {
                            b.oven { (name) } " "
                            (texts::again(&[words::TITLE], own.work_date, own.plan_revision))
                        }
                    }
                    tr {
                        th {} th { "in at" } th { "deck" } th { "product" } th { "pieces" } th { "trays" }
                        th { "top / bottom °C" } th { "min" } th { "out at" } th { "core °C" }
                        th { "finish" } th { "cool until" } th { "for drop" }
                    }
                }
                tbody { @for one in &oven.fillings { (filling(own.work_date, one)) } }
            }
        }
    }
}

fn filling(work_date: &str, one: &FillingView) -> Markup {
    html! {
        tr {
            td { span.box {} }
            td.clock { (clock(work_date, one.in_at.as_deref())) @if one.in_at.is_none() { p.remark { (words::NO_TIME) } } }
            td.clock { @if let Some(deck) = one.deck { (deck) } @else { (words::BLANK) } }
            td.item {
                p.name { (one.name) }
                @if one.par_baked { p.remark { b { (words::PAR_BAKED) } } }
                @if !one.goes_on.is_empty() { p.remark { (words::with(&one.goes_on)) } }
                @if one.service_date != work_date { p.remark { "for " (texts::day(&one.service_date)) } }
            }
            td.clock { (one.pieces) }
            td.clock {
                @match one.trays { Some(trays) => (trays), None => "-" }
                @if let Some(each) = one.per_tray { p.remark { "of " (each) } }
            }
            td.heat {
                @match (&one.top, &one.bottom) {
                    (Some(top), Some(bottom)) => { b.whole { (top) " / " (bottom) } }
                    _ => { (words::NOT_ON_FILE) }
                }
                @if let Some(steam) = &one.steam { p.remark { "steam " (steam) } }
            }
            td.clock { @match one.minutes { Some(minutes) => (minutes), None => (words::BLANK) } }
            td.clock { (clock(work_date, one.out_at.as_deref())) }
            td.core { @if let Some(core) = &one.core { p { "ask " b { (core) } } p { "is ______" } } @else { "-" } }
            td.finish { @match &one.finish { Some(finish) => (finish), None => "-" } }
            td.clock { (clock(work_date, one.cool_until.as_deref())) }
            td.clock { (clock(work_date, one.drop.as_deref())) }
        }
    }
}

/// A time, or room to write one.
fn clock(work_date: &str, at: Option<&str>) -> String {
    at.map_or_else(|| words::BLANK.to_owned(), |at| texts::moment_on(work_date, at))
}

fn proves(view: &BakeSheetView) -> Markup {
    html! {
        @if !view.proves.is_empty() {
            section.guide {
                h2 { (words::PROVES) }
                @for prove in &view.proves { (prove_line(&view.work_date, prove)) }
                p.remark { (words::ADVICE) }
            }
        }
    }
}

fn prove_line(work_date: &str, prove: &ProveView) -> Markup {
    html! {
        p {
            b { (texts::moment_on(work_date, &prove.from)) " " (prove.step) " " (prove.minutes) " min" }
            " at "
            @match &prove.temperature {
                Some(warm) => { b { (texts::celsius(warm)) } }
                None => (words::NO_WARMTH)
            }
            " · " (prove.products.join(", "))
            @for guide in &prove.guide {
                " · " (words::guide(guide.degrees, guide.minutes))
            }
        }
    }
}

fn counts(own: &Stamp<'_>, counts: &[CountBackView]) -> Markup {
    let columns = [
        "item", "few", "few", "few", "box-cell", "box-cell", "box-cell", "box-cell", "box-cell",
        "box-cell", "box-cell",
    ];
    html! {
        table.lines {
            (widths(&columns))
            thead {
                tr.again {
                    th colspan="11" { (texts::again(&[words::COUNT_BACK], own.work_date, own.plan_revision)) }
                }
                tr {
                    th { "product" } th { "baked" } th { "must be good" } th { "may lose" }
                    th { b { "good" } }
                    @for reason in words::REASONS { th { (reason) } }
                    th { b { "extra" } }
                }
            }
            tbody {
                @for one in counts {
                    tr {
                        td.item {
                            p.name { (one.name) }
                            @if one.service_date != own.work_date { p.remark { "for " (texts::day(&one.service_date)) } }
                            @if let Some(ahead) = ahead_words(one.par, one.forecast) { p.remark { (ahead) } }
                            @if one.untimed { p.loud { (words::NO_TIME) } }
                            (allergens(&one.allergens))
                        }
                        td.clock { (one.pieces) }
                        td.clock { (one.good_needed) @if one.pieces != one.start { p.remark { "of " (one.start) } } }
                        td.clock { (one.may_lose) }
                        td.blank {} td.blank {} td.blank {} td.blank {} td.blank {} td.blank {} td.blank {}
                    }
                }
            }
        }
    }
}
