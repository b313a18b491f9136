//! Phrases of statements: allergens, their matrix, drafts of labels.

use crate::messages::Words;

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
