//! The allergen statement of one product on paper.

use super::{
    page::{document, foot},
    texts::{self, statements as words},
};
use crate::wire::allergens::{
    AllergenChangesView, AllergensView, ItemRecordView, NamedAllergenView, ProductAllergensView,
    RegulationAllergensView,
};
use maud::{Markup, html};

/// Draws a statement.
#[must_use]
pub fn draw(view: &ProductAllergensView) -> Markup {
    let title = format!("{} {}", words::ALLERGENS, view.product);
    let body = html! {
        main.sheet.statement {
            p.stamp {
                span { (view.bakery) " · " b { (words::ALLERGENS) } }
                span { (words::version(view.version, &view.as_of)) " · " (texts::printed_at(&view.made_at)) }
            }
            header { h1 { (view.name) } p.load { (view.product) } }
            @if !view.unknown.is_empty() {
                p.banner { (words::NOT_KNOWN) ": " (view.unknown.join(", ")) }
            }
            @if let Some(changes) = &view.changes { (changed(changes)) }
            @for list in &view.by_regulation { (regulation(list)) }
            @if !view.amounts.is_empty() {
                ul.notes { @for one in &view.amounts { li { (one.words) } } }
            }
            (records(&view.records))
            p.banner { (view.defer) }
            (foot(&[texts::check_the_label()]))
        }
    };
    document(&title, &body)
}

fn changed(changes: &AllergenChangesView) -> Markup {
    let said = |found: &AllergensView| {
        !found.contains.is_empty() || !found.may_contain.is_empty() || !found.unknown.is_empty()
    };
    html! {
        section {
            h2 { (words::CHANGES) }
            @if said(&changes.added) { p.banner { (words::BRINGS_IN) ": " (changes.added.statement) } }
            @if said(&changes.gone) { p { (words::TAKES_OUT) ": " (changes.gone.statement) } }
            @if !said(&changes.added) && !said(&changes.gone) { p { (words::NO_CHANGE) } }
        }
    }
}

fn regulation(list: &RegulationAllergensView) -> Markup {
    html! {
        section.regulation {
            h2 { (list.name) " " span.when { "(list of " (list.entries) ")" } }
            (names(words::CONTAINS, &list.contains))
            (names(words::MAY_CONTAIN, &list.may_contain))
            @if !list.unlisted.is_empty() {
                p { (words::UNLISTED) ": " b { (list.unlisted.join(", ")) } }
            }
        }
    }
}

fn names(title: &str, names: &[NamedAllergenView]) -> Markup {
    html! {
        p {
            (title) ": "
            @if names.is_empty() { (words::NOTHING) }
            @for (at, name) in names.iter().enumerate() {
                @if at > 0 { ", " }
                b { (name.kind.to_uppercase()) }
                @if !name.group.eq_ignore_ascii_case(&name.kind) { " (" (name.group) ")" }
            }
        }
    }
}

fn records(records: &[ItemRecordView]) -> Markup {
    html! {
        section {
            h2 { (words::RECORDS) }
            table.lines.small {
                thead { tr { th { "ingredient" } th { "contains" } th { "may contain" } th { "record" } } }
                tbody {
                    @for record in records {
                        tr {
                            td { b { (record.name) } }
                            td { @if record.known { (or_nothing(&record.contains)) } @else { b { "NOT KNOWN" } } }
                            td { (or_nothing(&record.may_contain)) }
                            td { (origin(record)) @for words in record.amounts.iter().chain(&record.exempt) { p.remark { (words) } } }
                        }
                    }
                }
            }
        }
    }
}

fn or_nothing(list: &[String]) -> String {
    if list.is_empty() { "-".to_owned() } else { list.join(", ") }
}

fn origin(record: &ItemRecordView) -> String {
    let version = record.version.as_ref().map(|version| format!("version {version}"));
    let read = record.read_on.as_ref().map(|date| format!("read {}", texts::last_day(date)));
    let all: Vec<String> = [version, record.source.clone(), read].into_iter().flatten().collect();
    if all.is_empty() { "not said".to_owned() } else { all.join(", ") }
}
