//! Phrases of the prep sheet.

use crate::messages::Words;

/// Seed for the next build.
#[must_use]
pub fn keep_back(words: Words, amount: &str, unit: &str) -> String {
    words.tell("prep-sheet-keep-back", &[("amount", words.amount(amount, unit).into())])
}

/// The latest start that still meets every drop.
#[must_use]
pub fn latest(words: Words, moment: &str) -> String {
    words.tell("prep-sheet-latest", &[("moment", moment.into())])
}

/// How many loads.
#[must_use]
pub fn loads(words: Words, loads: i64) -> String {
    words.tell("prep-sheet-loads", &[("loads", loads.into())])
}

/// What spare of earlier fruit covers.
#[must_use]
pub fn from_spare(words: Words, amount: &str, unit: &str) -> String {
    words.tell("prep-sheet-from-spare", &[("amount", words.amount(amount, unit).into())])
}

/// Fruit that was cut before.
#[must_use]
pub fn cut_before(words: Words, fruits: i64) -> String {
    words.tell("prep-sheet-cut-before", &[("fruits", fruits.into())])
}
