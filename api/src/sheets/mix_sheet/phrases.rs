//! Phrases of the mix sheet that carry figures.

use crate::{messages::Words, wire::printed::PrintedView};

/// Where the temperatures on top come from.
pub(super) fn assumed(words: Words, asked: &[&str]) -> String {
    if asked.is_empty() {
        return words.say("mix-sheet-assumed");
    }
    let name = |asked: &&str| {
        let known = words.find(&format!("mix-sheet-{asked}"), &[]);
        known.unwrap_or_else(|| (*asked).to_owned())
    };
    let names: Vec<String> = asked.iter().map(name).collect();
    words.tell("mix-sheet-as-measured", &[("names", names.join(", ").into())])
}

/// At which minutes something goes in.
pub(super) fn minutes(minutes: &[i64]) -> String {
    match minutes {
        [] => "-".to_owned(),
        minutes => minutes.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "),
    }
}

/// Which load of how many, short.
pub(super) fn of(words: Words, load: i64, loads: i64) -> String {
    let (load, loads) = (load.to_string(), loads.to_string());
    words.tell("mix-sheet-of", &[("load", load.into()), ("loads", loads.into())])
}

/// In several goes.
pub(super) fn goes(words: Words, goes: usize) -> String {
    words.tell("mix-sheet-goes", &[("goes", goes.to_string().into())])
}

/// Minutes at both speeds.
pub(super) fn speeds(words: Words, slow: i64, fast: i64) -> String {
    let (slow, fast) = (slow.to_string(), fast.to_string());
    words.tell("mix-sheet-speeds", &[("slow", slow.into()), ("fast", fast.into())])
}

/// What is not on file.
pub(super) fn missing(words: Words, missing: &[&str]) -> String {
    words.tell("mix-sheet-missing", &[("what", missing.join(", ").into())])
}

/// Before how warm water and ice are together; below zero it is a sum, not a reading.
pub(super) fn together(words: Words, warm: &str) -> String {
    words.say(if warm.starts_with('-') { "mix-sheet-counts-as" } else { "mix-sheet-together" })
}

/// A load that must not be mixed again.
pub(super) fn done(words: Words, state: &str) -> String {
    let state = words.state(state).to_uppercase();
    words.tell("mix-sheet-done", &[("state", state.into())])
}

/// Tubs for what leaves the bowl.
pub(super) fn tubs(words: Words, tubs: i64, each: &PrintedView) -> String {
    words.tell(
        "mix-sheet-tubs",
        &[("tubs", tubs.into()), ("each", words.amount(&each.amount, each.unit).into())],
    )
}
