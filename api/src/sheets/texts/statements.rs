//! Phrases of statements: allergens, their matrix, drafts of labels.

use crate::{messages::Words, wire::allergens::AllergensView};

/// A letter for a state of a cell.
#[must_use]
pub fn letter(words: Words, state: &str) -> String {
    match state {
        "contains" => words.say("statement-letter-contains"),
        "may_contain" => words.say("statement-letter-may-contain"),
        "not_known" => "?".to_owned(),
        _ => "-".to_owned(),
    }
}

/// Allergens in words; unknown is said first and loudest, and is never "none".
#[must_use]
pub fn allergens(words: Words, found: &AllergensView) -> String {
    let says = |message, list: String| {
        (!list.is_empty()).then(|| words.tell(message, &[("list", list.into())]))
    };
    let parts = [
        says("allergens-not-known", found.unknown.join(", ")),
        says("allergens-contains", words.allergens(&found.contains)),
        says("allergens-may-contain", words.allergens(&found.may_contain)),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    if parts.is_empty() { words.say("allergens-none-recorded") } else { parts.join("; ") }
}

/// What a line of nutrition is called.
#[must_use]
pub fn nutrient(words: Words, word: &str) -> String {
    let name = words.find(&format!("nutrient-{}", word.replace('_', "-")), &[]);
    name.unwrap_or_else(|| word.to_owned())
}

/// Which version of which date.
#[must_use]
pub fn version(words: Words, version: i64, as_of: &str) -> String {
    let (version, day) = (version.to_string(), words.year_day(as_of));
    words.tell("statement-version", &[("version", version.into()), ("day", day.into())])
}
