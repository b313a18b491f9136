//! The bake sheet on paper: big and wide, to be read beside an oven.

mod phrases;

use super::{
    page::{Stamp, allergens, document, foot, notes, stamp, widths},
    texts,
};
use crate::messages::Words;
use crate::wire::bake_sheet::{
    BakeSheetView, CountBackView, FillingView, OvenFillingsView, ProveView,
};
use maud::{Markup, html};

/// Why a piece is not fit to send.
///
/// # Source
/// The trade rules, part 4, waste reasons.
const REASONS: [&str; 5] = [
    "bake-sheet-burnt",
    "bake-sheet-broken",
    "bake-sheet-over-proofed",
    "bake-sheet-cut-test",
    "bake-sheet-other",
];

/// Draws the bake sheet of a work date.
#[must_use]
pub fn draw(words: Words, view: &BakeSheetView) -> Markup {
    let title = format!("{} {}", words.say("sheet-bake-sheet"), view.work_date);
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("sheet-bake-sheet"),
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide.bake {
            (stamp(&own, Some((1, 2))))
            header {
                h1 { (words.say("sheet-bake-sheet")) }
                p.load { (words.day_of(&view.work_date)) " · " (words.say("sheet-for")) " " (words.days_of(&view.service_dates)) }
            }
            @if view.ovens.is_empty() { p { (words.say("bake-sheet-nothing")) } }
            @for oven in &view.ovens { (oven_day(words, &own, oven)) }
            (notes(words, &view.notes))
            (proves(words, view))
            (foot(words, &[words.say("bake-sheet-hot"), words.say("bake-sheet-no-pooling")]))
        }
        main.sheet.wide.bake {
            (stamp(&own, Some((2, 2))))
            header { h1 { (words.say("bake-sheet-count-back")) } p.load { (words.day_of(&view.work_date)) } }
            (counts(words, &own, &view.counts))
            p.remark { (words.say("bake-sheet-count-once")) }
            (foot(words, &[words.say("caution-label")]))
        }
    };
    document(words, &title, &body)
}

fn oven_day(words: Words, own: &Stamp<'_>, oven: &OvenFillingsView) -> Markup {
    let name = oven
        .name
        .as_deref()
        .or(oven.oven.as_deref())
        .map_or_else(|| words.say("bake-sheet-no-deck"), str::to_owned);
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
                            (texts::again(words, &[&words.say("sheet-bake-sheet")], own.work_date, own.plan_revision))
                        }
                    }
                    tr {
                        th {} th { (words.say("bake-sheet-in-at")) } th { (words.say("bake-sheet-deck")) } th { (words.say("sheet-product")) } th { (words.say("sheet-pieces")) } th { (words.say("sheet-trays")) }
                        th { (words.say("bake-sheet-top-bottom-celsius")) } th { (words.say("bake-sheet-min")) } th { (words.say("bake-sheet-out-at")) } th { (words.say("bake-sheet-core-celsius")) }
                        th { (words.say("bake-sheet-finish")) } th { (words.say("bake-sheet-cool-until")) } th { (words.say("bake-sheet-for-drop")) }
                    }
                }
                tbody { @for one in &oven.fillings { (filling(words, own.work_date, one)) } }
            }
        }
    }
}

fn filling(words: Words, work_date: &str, one: &FillingView) -> Markup {
    html! {
        tr {
            td { span.box {} }
            td.clock { (clock(words, work_date, one.in_at.as_deref())) @if one.in_at.is_none() { p.remark { (words.say("bake-sheet-no-time")) } } }
            td.clock { @if let Some(deck) = one.deck { (deck) } @else { "____" } }
            td.item {
                p.name { (one.name) }
                @if one.par_baked { p.remark { b { (words.say("bake-sheet-par-baked")) } } }
                @if !one.goes_on.is_empty() { p.remark { (phrases::with(words, &one.goes_on)) } }
                @if one.service_date != work_date { p.remark { (words.say("sheet-for")) " " (words.day_of(&one.service_date)) } }
            }
            td.clock { (one.pieces) }
            td.clock {
                @match one.trays { Some(trays) => (trays), None => "-" }
                @if let Some(each) = one.per_tray { p.remark { (words.say("bake-sheet-of")) " " (each) } }
            }
            td.heat {
                @match (&one.top, &one.bottom) {
                    (Some(top), Some(bottom)) => { b.whole { (top) " / " (bottom) } }
                    _ => { (words.say("bake-sheet-not-on-file")) }
                }
                @if let Some(steam) = &one.steam { p.remark { (words.say("bake-sheet-steam")) " " (steam) } }
            }
            td.clock { @match one.minutes { Some(minutes) => (minutes), None => "____" } }
            td.clock { (clock(words, work_date, one.out_at.as_deref())) }
            td.core { @if let Some(core) = &one.core { p { (words.say("bake-sheet-ask")) " " b { (core) } } p { (words.say("bake-sheet-is")) } } @else { "-" } }
            td.finish { @match &one.finish { Some(finish) => (finish), None => "-" } }
            td.clock { (clock(words, work_date, one.cool_until.as_deref())) }
            td.clock { (clock(words, work_date, one.drop.as_deref())) }
        }
    }
}

/// A time, or room to write one.
fn clock(words: Words, work_date: &str, at: Option<&str>) -> String {
    at.map_or_else(|| "____".to_owned(), |at| words.moment_on(work_date, at))
}

fn proves(words: Words, view: &BakeSheetView) -> Markup {
    html! {
        @if !view.proves.is_empty() {
            section.guide {
                h2 { (words.say("bake-sheet-proves")) }
                @for prove in &view.proves { (prove_line(words, &view.work_date, prove)) }
                p.remark { (words.say("bake-sheet-advice")) }
            }
        }
    }
}

fn prove_line(words: Words, work_date: &str, prove: &ProveView) -> Markup {
    html! {
        p {
            b { (words.moment_on(work_date, &prove.from)) " " (prove.step) " " (prove.minutes) " " (words.say("bake-sheet-min")) }
            " " (words.say("bake-sheet-at")) " "
            @match &prove.temperature {
                Some(warm) => { b { (words.celsius(warm)) } }
                None => (words.say("bake-sheet-no-warmth"))
            }
            " · " (prove.products.join(", "))
            @for guide in &prove.guide {
                " · " (phrases::guide(words, guide.degrees, guide.minutes))
            }
        }
    }
}

fn counts(words: Words, own: &Stamp<'_>, counts: &[CountBackView]) -> Markup {
    let columns = [
        "item", "few", "few", "few", "box-cell", "box-cell", "box-cell", "box-cell", "box-cell",
        "box-cell", "box-cell",
    ];
    html! {
        table.lines {
            (widths(&columns))
            thead {
                tr.again {
                    th colspan="11" { (texts::again(words, &[&words.say("bake-sheet-count-back")], own.work_date, own.plan_revision)) }
                }
                tr {
                    th { (words.say("sheet-product")) } th { (words.say("bake-sheet-baked")) } th { (words.say("bake-sheet-must-be-good")) } th { (words.say("bake-sheet-may-lose")) }
                    th { b { (words.say("bake-sheet-good")) } }
                    @for reason in REASONS { th { (words.say(reason)) } }
                    th { b { (words.say("bake-sheet-extra")) } }
                }
            }
            tbody {
                @for one in counts {
                    tr {
                        td.item {
                            p.name { (one.name) }
                            @if one.service_date != own.work_date { p.remark { (words.say("sheet-for")) " " (words.day_of(&one.service_date)) } }
                            @if let Some(ahead) = texts::ahead(words, one.par, one.forecast) { p.remark { (ahead) } }
                            @if one.untimed { p.loud { (words.say("bake-sheet-no-time")) } }
                            (allergens(words, &one.allergens))
                        }
                        td.clock { (one.pieces) }
                        td.clock { (one.good_needed) @if one.pieces != one.start { p.remark { (words.say("bake-sheet-of")) " " (one.start) } } }
                        td.clock { (one.may_lose) }
                        td.blank {} td.blank {} td.blank {} td.blank {} td.blank {} td.blank {} td.blank {}
                    }
                }
            }
        }
    }
}
