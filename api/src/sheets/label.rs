//! The draft of a label on paper.

use super::{
    page::{document, foot},
    texts::{self, statements as words},
};
use crate::messages::{Words, told};
use crate::wire::{
    label::LabelView,
    nutrition::{NutritionLineView, NutritionView},
};
use maud::{Markup, html};

/// Draws a draft.
#[must_use]
pub fn draw(words: Words, view: &LabelView) -> Markup {
    let title = format!("{} {}", words.say("statement-label"), view.product);
    let body = html! {
        main.sheet.statement {
            p.stamp {
                span { (view.bakery) " · " b { (words.say("statement-label")) } " · " (view.regulation_name) }
                span { (words::version(words, view.version, &view.as_of)) " · " (texts::printed_at(words, &view.made_at)) }
            }
            p.banner { (words.say("statement-draft")) }
            header {
                h1 { (view.name) }
                @if let Some(grams) = &view.finished_grams { p.load { (words.digits(grams)) " g" } }
            }
            @if !view.unknown.is_empty() {
                p.banner { (words.say("statement-not-known")) ": " (told(words, &view.unknown).join(", ")) }
            }
            p.ingredients {
                b { (words.say("statement-ingredients")) } " "
                @for segment in &view.segments {
                    @if segment.allergen { b { (segment.text) } } @else { (segment.text) }
                }
                "."
            }
            @if let Some(contains) = &view.contains { p.ingredients lang=[words.of_the_plan()] { b { (contains) } } }
            @if !view.allergens.may_contain.is_empty() {
                p {
                    (words.say("statement-may-contain")) ": "
                    @for (at, name) in view.allergens.may_contain.iter().enumerate() {
                        @if at > 0 { ", " } b { (words.allergen(&name.kind)) }
                    }
                }
            }
            @if !view.quantities.is_empty() {
                p { (words.say("statement-quantities")) ": " b { (view.quantities.join("; ")) } }
            }
            (nutrition(words, &view.nutrition))
            section {
                h2 { (words.say("statement-look-at")) }
                ul.notes {
                    @if let Some(source) = &view.finished_source { li { (words.say("statement-weight-of-a-finished-piece")) " " (source) } }
                    @for one in &view.amounts { li { (one.words.told(words)) } }
                    @for note in &view.notes { li { (note.told(words)) } }
                }
            }
            (sources(words, &view.nutrition))
            p.banner { (words.say("statement-defer")) }
            (foot(words, &[words.say("caution-label")]))
        }
    };
    document(words, &title, &body)
}

fn nutrition(words: Words, view: &NutritionView) -> Markup {
    let (first, title) = match &view.per_100g {
        Some(lines) => (lines, words.say("statement-per-100g")),
        None => (&view.per_100g_before_baking, words.say("statement-per-100g-raw")),
    };
    html! {
        section {
            h2 { (words.say("statement-nutrition")) }
            @if !view.without.is_empty() {
                p.loud { (words.say("statement-without")) ": " (told(words, &view.without).join(", ")) }
            }
            table.lines.facts-table {
                thead {
                    tr {
                        th {} th { (title) }
                        th { (words.say("statement-per-piece")) @if let Some(grams) = &view.piece_grams { " " (words.say("statement-of")) " " (words.digits(grams)) " g" } }
                    }
                }
                tbody {
                    @for (line, piece) in first.iter().zip(&view.per_piece) {
                        tr {
                            td class=(if line.of_which { "part" } else { "whole-line" }) { (words::nutrient(words, line.nutrient)) }
                            td { (figure(words, line)) } td { (figure(words, piece)) }
                        }
                    }
                }
            }
        }
    }
}

fn figure(words: Words, line: &NutritionLineView) -> Markup {
    html! { @match &line.printed { Some(printed) => { b { (words.digits(printed)) } } None => { span.remark { (line.words.told(words)) } } } }
}

fn sources(words: Words, view: &NutritionView) -> Markup {
    html! {
        section.covered {
            h2 { (words.say("statement-sources")) }
            p {
                (crate::nutrients::SOURCE) ". "
                @for (at, source) in view.sources.iter().enumerate() {
                    @if at > 0 { "; " }
                    b { (source.item) } " "
                    (source.source.as_deref().map_or_else(|| words.say("statement-no-source"), str::to_owned))
                    @for one in &source.overrides { ", " (one) }
                }
            }
        }
    }
}
