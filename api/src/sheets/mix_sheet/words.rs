//! Every word of the mix sheet.

use crate::wire::printed::PrintedView;

pub(super) const TITLE: &str = "Mix sheet";
pub(super) const NOTHING: &str = "Nothing is mixed on this date.";
pub(super) const BY_HAND: &str = "Without a mixer";
pub(super) const START: &str = "start by";
pub(super) const WHAT: &str = "what (amounts: see the weigh-out)";
pub(super) const DOUGH: &str = "dough";
pub(super) const MIXER: &str = "mixer";
pub(super) const LOAD: &str = "load";
pub(super) const MASS: &str = "mass";
pub(super) const MINUTE: &str = "min";
pub(super) const GOES_IN: &str = "goes in";
pub(super) const TARGET: &str = "dough out at";
pub(super) const NO_MIXER: &str = "by hand";
pub(super) const NO_TIME: &str = "no time on file";
pub(super) const NO_MINUTES: &str = "mixing minutes: not on file";
pub(super) const NOT_ON_FILE: &str = "not on file";
pub(super) const SEE_WATER: &str = "see water";
pub(super) const TOO_COLD: &str =
    "STOP: even all of it as ice leaves the dough too warm. Cool the flour or the room first.";

pub(super) const PREFERMENT: &str = "preferment °C";

/// What the hand writes back.
pub(super) const MEASURED: [&str; 5] =
    ["flour °C", "room °C", "water °C", "dough °C", "water + / - g"];

/// Where the temperatures on top come from.
pub(super) fn assumed(asked: &[&str]) -> String {
    if asked.is_empty() {
        "Water is computed with the house's usual temperatures. Measure; if they differ, print \
         anew with yours."
            .to_owned()
    } else {
        format!("As measured for this print: {}. The rest are the house's usual.", asked.join(", "))
    }
}

/// At which minutes something goes in.
pub(super) fn minutes(minutes: &[i64]) -> String {
    match minutes {
        [] => "-".to_owned(),
        minutes => minutes.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "),
    }
}

/// In several goes.
pub(super) fn goes(goes: usize) -> String {
    format!("in {goes} goes")
}

/// Minutes at both speeds.
pub(super) fn speeds(slow: i64, fast: i64) -> String {
    format!("slow {slow} min, fast {fast} min")
}

/// What is not on file.
pub(super) fn missing(missing: &[&str]) -> String {
    format!("not on file: {}", missing.join(", "))
}

/// Before how warm water and ice are together; below zero it is a sum, not a reading.
pub(super) fn together(warm: &str) -> &'static str {
    if warm.starts_with('-') { "counts as" } else { "together" }
}

/// A load that must not be mixed again.
pub(super) fn done(state: &str) -> String {
    format!("{}: do not mix again", state.to_uppercase())
}

/// Tubs for what leaves the bowl.
pub(super) fn tubs(tubs: i64, each: &PrintedView) -> String {
    let PrintedView { amount, unit } = each;
    if tubs == 1 {
        format!("1 tub, {amount} {unit}")
    } else {
        format!("{tubs} tubs, {amount} {unit} each")
    }
}
