//! All products against the list of a regulation on paper.

use super::{
    page::{document, foot},
    texts::{self, statements as words},
};
use crate::messages::{Words, told};
use crate::wire::allergen_matrix::{AllergenMatrixView, AllergenRowView};
use maud::{Markup, html};

/// Draws a matrix.
#[must_use]
pub fn draw(words: Words, view: &AllergenMatrixView) -> Markup {
    let title = format!("{} {}", words.say("sheet-allergens"), view.as_of);
    let body = html! {
        main.sheet.wide.matrix {
            p.stamp {
                span { (view.bakery) " · " b { (words.say("sheet-allergens")) } }
                span { (words::version(words, view.version, &view.as_of)) " · " (texts::printed_at(words, &view.made_at)) }
            }
            header { h1 { (words.say("sheet-allergens")) } p.load { (view.regulation_name) } }
            @for note in &view.notes { p.banner { (note.told(words)) } }
            p { (words.say("statement-key")) }
            table.lines {
                thead {
                    tr {
                        th.name { (words.say("sheet-product")) }
                        @for column in &view.columns { th.cell { span { (words.allergen(&column.kind)) } } }
                    }
                }
                tbody { @for row in &view.rows { (line(words, row, view.columns.len())) } }
            }
            p.remark lang=[words.of_the_plan()] { (view.source) }
            p.banner { (words.say("statement-defer")) }
            (foot(words, &[words.say("caution-label")]))
        }
    };
    document(words, &title, &body)
}

fn line(words: Words, row: &AllergenRowView, columns: usize) -> Markup {
    html! {
        tr {
            td.item { b { (row.name) } }
            @for cell in &row.cells {
                td.cell { @if *cell == "not_in_records" { "-" } @else { b { (words::letter(words, cell)) } } }
            }
        }
        @if !row.unknown.is_empty() || !row.unlisted.is_empty() {
            tr.more {
                td colspan=(columns + 1) {
                    @if !row.unknown.is_empty() { span.loud { (words.say("statement-not-known")) ": " (told(words, &row.unknown).join(", ")) } " " }
                    @if !row.unlisted.is_empty() { (words.say("statement-unlisted")) ": " (words.allergens(&row.unlisted)) }
                }
            }
        }
    }
}
