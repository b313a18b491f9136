//! Every word of the bake sheet.

use crate::wire::piece::GoesOnView;

pub(super) const TITLE: &str = "Bake sheet";
pub(super) const COUNT_BACK: &str = "Count back";
pub(super) const NOTHING: &str =
    "No oven time is on file for this date: see the count back for its pieces.";
pub(super) const NO_DECK: &str = "NO DECK PLANNED: choose one";
pub(super) const NOT_ON_FILE: &str = "not on file";
pub(super) const BLANK: &str = "____";
pub(super) const NO_TIME: &str = "no time on file";
pub(super) const NO_WARMTH: &str = "a temperature that is not on file";
pub(super) const PROVES: &str = "Proving times hold at one temperature";
pub(super) const ADVICE: &str = "Advice for warmer and colder, about 10 % a degree: watch the \
                                 dough. It is no safety control.";
pub(super) const HOT: &str = "Hot trays, steam: gloves on, stand aside.";
pub(super) const NO_POOLING: &str = "One product on a tray.";
pub(super) const COUNT_ONCE: &str =
    "Count when the rack is cold. Write whole pieces; leave empty what you did not count.";

/// What is on or in a piece beside its dough.
pub(super) fn with(goes_on: &[GoesOnView]) -> String {
    let names: Vec<&str> = goes_on.iter().map(|one| one.name.as_str()).collect();
    format!("with {}", names.join(", "))
}

/// Why a piece is not fit to send.
///
/// # Source
/// The trade rules, part 4, waste reasons.
pub(super) const REASONS: [&str; 5] =
    ["burnt", "broken", "over-proofed", "cut test", "other: write it"];

/// About how long it takes when it is warmer or colder.
pub(super) fn guide(degrees: i32, minutes: i64) -> String {
    let side = if degrees < 0 { "colder" } else { "warmer" };
    format!("{}\u{a0}°C {side}: about {minutes}\u{a0}min", degrees.abs())
}

/// Pieces that only need finishing.
pub(super) const PAR_BAKED: &str = "par-baked: finish only";
