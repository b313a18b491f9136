//! Phrases of sheets about money.

use crate::messages::Words;

/// The title of a cost sheet by its kind.
#[must_use]
pub fn title(words: Words, kind: &str) -> String {
    words.say(match kind {
        "planned" => "costs-title-planned",
        "actual" => "costs-title-actual",
        _ => "costs-title-standard",
    })
}

/// What a kind of cost stands on.
#[must_use]
pub fn stands_on(words: Words, kind: &str) -> String {
    words.say(match kind {
        "planned" => "costs-planned-stands-on",
        "actual" => "costs-actual-stands-on",
        _ => "costs-standard-stands-on",
    })
}

/// What makes a figure an "at least".
#[must_use]
pub fn without_price(words: Words, missing: &[String]) -> String {
    words.tell("costs-without-price", &[("items", missing.join(", ").into())])
}

/// Which load.
#[must_use]
pub fn load(words: Words, formula: &str, number: i64) -> String {
    let number = number.to_string();
    words.tell("costs-load", &[("formula", formula.into()), ("number", number.into())])
}
