//! Phrases of the recall sheet.

use crate::messages::Words;

/// How far and how much.
#[must_use]
pub fn share(words: Words, generation: u32, percent: Option<&str>) -> String {
    match percent {
        Some(percent) => format!("{generation} · {} %", words.digits(percent)),
        None => format!("{generation} · {}", words.say("recall-share-not-known")),
    }
}

/// How much of what came is known.
#[must_use]
pub fn accounted(words: Words, percent: Option<&str>) -> String {
    match percent {
        Some(percent) => {
            words.tell("recall-accounted", &[("percent", words.digits(percent).into())])
        }
        None => words.say("recall-accounted-not-known"),
    }
}

/// What runs short without the lot.
#[must_use]
pub fn short(words: Words, amount: &str, at: Option<&str>) -> String {
    match at {
        Some(at) => {
            words.tell("recall-short-from", &[("amount", amount.into()), ("moment", at.into())])
        }
        None => words.tell("recall-short", &[("amount", amount.into())]),
    }
}
