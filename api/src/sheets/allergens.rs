//! The allergen statement of one product on paper.

use super::{
    page::{document, foot},
    texts::{self, statements as words},
};
use crate::messages::{Words, told};
use crate::wire::allergens::{
    AllergenChangesView, AllergensView, ItemRecordView, NamedAllergenView, ProductAllergensView,
    RegulationAllergensView,
};
use maud::{Markup, html};

/// Draws a statement.
#[must_use]
pub fn draw(words: Words, view: &ProductAllergensView) -> Markup {
    let title = format!("{} {}", words.say("statement-allergens"), view.product);
    let body = html! {
        main.sheet.statement {
            p.stamp {
                span { (view.bakery) " · " b { (words.say("statement-allergens")) } }
                span { (words::version(words, view.version, &view.as_of)) " · " (texts::printed_at(words, &view.made_at)) }
            }
            header { h1 { (view.name) } p.load { (view.product) } }
            @if !view.unknown.is_empty() {
                p.banner { (words.say("statement-not-known")) ": " (told(words, &view.unknown).join(", ")) }
            }
            @if let Some(changes) = &view.changes { (changed(words, changes)) }
            @for list in &view.by_regulation { (regulation(words, list)) }
            @if !view.amounts.is_empty() {
                ul.notes { @for one in &view.amounts { li { (one.words.told(words)) } } }
            }
            (records(words, &view.records))
            p.banner { (words.say("statement-defer")) }
            (foot(words, &[words.say("caution-label")]))
        }
    };
    document(words, &title, &body)
}

fn changed(words: Words, changes: &AllergenChangesView) -> Markup {
    let said = |found: &AllergensView| {
        !found.contains.is_empty() || !found.may_contain.is_empty() || !found.unknown.is_empty()
    };
    html! {
        section {
            h2 { (words.say("statement-changes")) }
            @if said(&changes.added) { p.banner { (words.say("statement-brings-in")) ": " (changes.added.statement.told(words)) } }
            @if said(&changes.gone) { p { (words.say("statement-takes-out")) ": " (changes.gone.statement.told(words)) } }
            @if !said(&changes.added) && !said(&changes.gone) { p { (words.say("statement-no-change")) } }
        }
    }
}

fn regulation(words: Words, list: &RegulationAllergensView) -> Markup {
    html! {
        section.regulation {
            h2 { (list.name) " " span.when { "(" (words.say("statement-list-of")) " " (list.entries) ")" } }
            (names(words, &words.say("statement-contains"), &list.contains))
            (names(words, &words.say("statement-may-contain"), &list.may_contain))
            @if !list.unlisted.is_empty() {
                p { (words.say("statement-unlisted")) ": " b { (words.allergens(&list.unlisted)) } }
            }
        }
    }
}

fn names(words: Words, title: &str, names: &[NamedAllergenView]) -> Markup {
    html! {
        p {
            (title) ": "
            @if names.is_empty() { (words.say("statement-nothing")) }
            @for (at, name) in names.iter().enumerate() {
                @if at > 0 { ", " }
                b { (words.allergen(&name.kind).to_uppercase()) }
                @if !name.group.eq_ignore_ascii_case(&name.kind) { " (" (words.listed("allergen-group-", &name.group)) ")" }
            }
        }
    }
}

fn records(words: Words, records: &[ItemRecordView]) -> Markup {
    html! {
        section {
            h2 { (words.say("statement-records")) }
            table.lines.small {
                thead { tr { th { (words.say("statement-ingredient")) } th { (words.say("statement-column-contains")) } th { (words.say("statement-column-may-contain")) } th { (words.say("statement-record")) } } }
                tbody {
                    @for record in records {
                        tr {
                            td { b { (record.name) } }
                            td { @if record.known { (or_nothing(words, &record.contains)) } @else { b { (words.say("statement-record-not-known")) } } }
                            td { (or_nothing(words, &record.may_contain)) }
                            td { (origin(words, record)) @for said in record.amounts.iter().chain(&record.exempt) { p.remark { (said.told(words)) } } }
                        }
                    }
                }
            }
        }
    }
}

fn or_nothing(words: Words, list: &[String]) -> String {
    if list.is_empty() { "-".to_owned() } else { words.allergens(list) }
}

fn origin(words: Words, record: &ItemRecordView) -> String {
    let version = record.version.as_ref().map(|version| {
        words.tell("statement-record-version", &[("version", version.as_str().into())])
    });
    let read = record
        .read_on
        .as_ref()
        .map(|date| words.tell("statement-record-read", &[("day", words.pack_day(date).into())]));
    let all: Vec<String> = [version, record.source.clone(), read].into_iter().flatten().collect();
    if all.is_empty() { words.say("sheet-not-said") } else { all.join(", ") }
}
