//! Every word of the day board.

pub(super) const TITLE: &str = "Day board";
pub(super) const EXCEPTIONS: &str = "What needs a person";
pub(super) const DOUGHS: &str = "Doughs of the day";
pub(super) const STATIONS: &str = "The day by station";
pub(super) const NOTHING: &str = "Nothing needs a decision for this date.";
pub(super) const NO_DOUGH: &str = "Nothing is made on this date.";
pub(super) const NO_STATION: &str = "No station has a time on file for this date.";
pub(super) const ACT_BY: &str = "act by";
pub(super) const AT_ONCE: &str = "at once";
pub(super) const WHAT: &str = "what, and whom it hits";
pub(super) const LEVERS: &str = "what can be done · what it costs";
pub(super) const ORDER_GONE: &str = "too late to order";
pub(super) const COST_UNKNOWN: &str = "cost not known";
pub(super) const PIECES: &str = "pieces to begin with";
/// What the patterns mean.
pub(super) const KEY: [(&str, &str); 3] =
    [("mixer", "mixing"), ("place", "bench, prover, retarder"), ("oven", "baking")];
