//! The draft of a label on paper.

use super::{
    page::{document, foot},
    texts::{self, statements as words},
};
use crate::wire::{
    label::LabelView,
    nutrition::{NutritionLineView, NutritionView},
};
use maud::{Markup, html};

/// Draws a draft.
#[must_use]
pub fn draw(view: &LabelView) -> Markup {
    let title = format!("{} {}", words::LABEL, view.product);
    let body = html! {
        main.sheet.statement {
            p.stamp {
                span { (view.bakery) " · " b { (words::LABEL) } " · " (view.regulation_name) }
                span { (words::version(view.version, &view.as_of)) " · " (texts::printed_at(&view.made_at)) }
            }
            p.banner { (view.draft) }
            header {
                h1 { (view.name) }
                @if let Some(grams) = &view.finished_grams { p.load { (grams) " g" } }
            }
            @if !view.unknown.is_empty() {
                p.banner { (words::NOT_KNOWN) ": " (view.unknown.join(", ")) }
            }
            p.ingredients {
                b { (words::INGREDIENTS) } " "
                @for segment in &view.segments {
                    @if segment.allergen { b { (segment.text) } } @else { (segment.text) }
                }
                "."
            }
            @if let Some(contains) = &view.contains { p.ingredients { b { (contains) } } }
            @if !view.allergens.may_contain.is_empty() {
                p {
                    (words::MAY_CONTAIN) ": "
                    @for (at, name) in view.allergens.may_contain.iter().enumerate() {
                        @if at > 0 { ", " } b { (name.kind) }
                    }
                }
            }
            @if !view.quantities.is_empty() {
                p { (words::QUANTITIES) ": " b { (view.quantities.join("; ")) } }
            }
            (nutrition(&view.nutrition))
            section {
                h2 { (words::LOOK_AT) }
                ul.notes {
                    @if let Some(source) = &view.finished_source { li { "weight of a finished piece: " (source) } }
                    @for one in &view.amounts { li { (one.words) } }
                    @for note in &view.notes { li { (note) } }
                }
            }
            (sources(&view.nutrition))
            p.banner { (view.defer) }
            (foot(&[texts::check_the_label()]))
        }
    };
    document(&title, &body)
}

fn nutrition(view: &NutritionView) -> Markup {
    let (first, title) = match &view.per_100g {
        Some(lines) => (lines, words::PER_100G),
        None => (&view.per_100g_before_baking, words::PER_100G_RAW),
    };
    html! {
        section {
            h2 { (words::NUTRITION) }
            @if !view.without.is_empty() {
                p.loud { (words::WITHOUT) ": " (view.without.join(", ")) }
            }
            table.lines.facts-table {
                thead {
                    tr {
                        th {} th { (title) }
                        th { (words::PER_PIECE) @if let Some(grams) = &view.piece_grams { " of " (grams) " g" } }
                    }
                }
                tbody {
                    @for (line, piece) in first.iter().zip(&view.per_piece) {
                        tr {
                            td class=(if line.of_which { "part" } else { "whole-line" }) { (words::nutrient(line.nutrient)) }
                            td { (figure(line)) } td { (figure(piece)) }
                        }
                    }
                }
            }
        }
    }
}

fn figure(line: &NutritionLineView) -> Markup {
    html! { @match &line.printed { Some(printed) => { b { (printed) } } None => { span.remark { (line.words) } } } }
}

fn sources(view: &NutritionView) -> Markup {
    html! {
        section.covered {
            h2 { (words::SOURCES) }
            p {
                (words::SR28) ". "
                @for (at, source) in view.sources.iter().enumerate() {
                    @if at > 0 { "; " }
                    b { (source.item) } " "
                    (source.source.as_deref().unwrap_or(words::NO_SOURCE))
                    @for one in &source.overrides { ", " (one) }
                }
            }
        }
    }
}
