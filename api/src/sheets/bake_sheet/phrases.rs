//! Phrases of the bake sheet that carry names or figures.

use crate::{messages::Words, wire::piece::GoesOnView};

/// What is on or in a piece beside its dough.
pub(super) fn with(words: Words, goes_on: &[GoesOnView]) -> String {
    let names: Vec<&str> = goes_on.iter().map(|one| one.name.as_str()).collect();
    words.tell("bake-sheet-with", &[("names", names.join(", ").into())])
}

/// About how long it takes when it is warmer or colder.
pub(super) fn guide(words: Words, degrees: i32, minutes: i64) -> String {
    let message = if degrees < 0 { "bake-sheet-colder" } else { "bake-sheet-warmer" };
    let (degrees, minutes) = (degrees.abs().to_string(), minutes.to_string());
    words.tell(message, &[("degrees", degrees.into()), ("minutes", minutes.into())])
}
