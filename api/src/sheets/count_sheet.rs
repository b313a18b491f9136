//! A sheet to count by on paper: a box to write in for each lot, and nothing to copy.

use super::{
    page::{document, foot, said, widths},
    texts::{self, word},
};
use crate::wire::count::CountSheetView;
use maud::{Markup, html};

/// Draws a sheet.
#[must_use]
pub fn draw(view: &CountSheetView) -> Markup {
    let body = html! {
        main.sheet.wide {
            p.stamp {
                span { b { (word::COUNT_SHEET) } }
                span { (texts::printed_at(&view.made_at)) }
            }
            header { h1 { (word::COUNT_SHEET) } p.load { (word::COUNTED_AT) } }
            @if view.lines.is_empty() { p { (word::NOTHING_TO_COUNT) } }
            table.lines.short {
                (widths(&["tick", "out", "item", "fetch", "fetch", "sum"]))
                thead {
                    tr {
                        th.tick {} th { "place" } th { "what" } th { "lot, last day" }
                        th { "counted" }
                        th { @if view.blind { "unit" } @else { "book" } }
                    }
                }
                tbody {
                    @for line in &view.lines {
                        tr {
                            td.tick { span.box {} }
                            td { (line.place.as_deref().unwrap_or(word::NO_PLACE)) }
                            td {
                                b { (line.item) }
                                @if line.state != "released" { " " (line.state) }
                            }
                            td {
                                (line.name)
                                @if let Some(end) = &line.use_until {
                                    br; (texts::moment(&end.until))
                                }
                            }
                            td.blank {}
                            td {
                                @match &line.book {
                                    Some(book) => (said(book)),
                                    None => (line.unit),
                                }
                            }
                        }
                    }
                }
            }
            p.blanks { span { "counted by" } span { "date and time of the count" } }
            (foot(&[word::COUNT_WHAT_LIES_THERE]))
        }
    };
    document(word::COUNT_SHEET, &body)
}
