//! A sheet to count by on paper: a box to write in for each lot, and nothing to copy.

use super::{
    page::{document, foot, said, widths},
    texts,
};
use crate::messages::Words;
use crate::wire::count::{CountSheetView, units_by_hand};
use maud::{Markup, html};

/// The units that hands count in; where there are two, one is circled.
fn to_count_in(words: Words, unit: &str) -> String {
    match units_by_hand(unit) {
        [_] => words.say("counts-each"),
        units => units.join(" / "),
    }
}

/// Draws a sheet.
#[must_use]
pub fn draw(words: Words, view: &CountSheetView) -> Markup {
    let body = html! {
        main.sheet.wide {
            p.stamp {
                span { b { (words.say("sheet-count")) } }
                span { (texts::printed_at(words, &view.made_at)) }
            }
            header { h1 { (words.say("sheet-count")) } p.load { (words.say("count-sheet-counted-at")) } }
            @if view.lines.is_empty() { p { (words.say("count-sheet-nothing-to-count")) } }
            table.lines.short {
                (widths(&["tick", "out", "item", "fetch", "fetch", "sum"]))
                thead {
                    tr {
                        th.tick {} th { (words.say("count-sheet-place")) } th { (words.say("sheet-what")) } th { (words.say("count-sheet-lot-last-day")) }
                        th { (words.say("count-sheet-counted")) }
                        th { @if view.blind { (words.say("count-sheet-unit")) } @else { (words.say("count-sheet-book")) } }
                    }
                }
                tbody {
                    @for line in &view.lines {
                        tr {
                            td.tick { span.box {} }
                            td { (line.place_name.as_deref().map_or_else(|| words.say("sheet-no-place"), str::to_owned)) }
                            td {
                                b { (line.item_name) }
                                @if line.state != "released" { " " (words.listed("lot-state-", line.state)) }
                            }
                            td {
                                (line.name)
                                @if let Some(end) = &line.use_until {
                                    br; (words.moment(&end.until))
                                }
                            }
                            td.blank {}
                            td {
                                @match &line.book {
                                    Some(book) => (said(words, book)),
                                    None => (to_count_in(words, line.unit)),
                                }
                            }
                        }
                    }
                }
            }
            p.blanks { span { (words.say("count-sheet-counted-by")) } span { (words.say("count-sheet-date-and-time-of-the-count")) } }
            (foot(words, &[words.say("count-sheet-count-what-lies-there")]))
        }
    };
    document(words, &words.say("sheet-count"), &body)
}
