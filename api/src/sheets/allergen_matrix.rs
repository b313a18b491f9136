//! All products against the list of a regulation on paper.

use super::{
    page::{document, foot},
    texts::{self, statements as words},
};
use crate::wire::allergen_matrix::{AllergenMatrixView, AllergenRowView};
use maud::{Markup, html};

/// Draws a matrix.
#[must_use]
pub fn draw(view: &AllergenMatrixView) -> Markup {
    let title = format!("{} {}", words::MATRIX, view.as_of);
    let body = html! {
        main.sheet.wide.matrix {
            p.stamp {
                span { (view.bakery) " · " b { (words::MATRIX) } }
                span { (words::version(view.version, &view.as_of)) " · " (texts::printed_at(&view.made_at)) }
            }
            header { h1 { (words::MATRIX) } p.load { (view.regulation_name) } }
            @for note in &view.notes { p.banner { (note) } }
            p { (words::KEY) }
            table.lines {
                thead {
                    tr {
                        th.name { "product" }
                        @for column in &view.columns { th.cell { span { (column.kind) } } }
                    }
                }
                tbody { @for row in &view.rows { (line(row, view.columns.len())) } }
            }
            p.remark { (view.source) }
            p.banner { (view.defer) }
            (foot(&[texts::check_the_label()]))
        }
    };
    document(&title, &body)
}

fn line(row: &AllergenRowView, columns: usize) -> Markup {
    html! {
        tr {
            td.item { b { (row.name) } }
            @for cell in &row.cells {
                td.cell { @if *cell == "not_in_records" { "-" } @else { b { (words::letter(cell)) } } }
            }
        }
        @if !row.unknown.is_empty() || !row.unlisted.is_empty() {
            tr.more {
                td colspan=(columns + 1) {
                    @if !row.unknown.is_empty() { span.loud { (words::NOT_KNOWN) ": " (row.unknown.join(", ")) } " " }
                    @if !row.unlisted.is_empty() { (words::UNLISTED) ": " (row.unlisted.join(", ")) }
                }
            }
        }
    }
}
