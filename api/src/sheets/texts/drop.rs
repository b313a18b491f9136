//! Words on the drop sheet.

/// Its title.
pub const TITLE: &str = "Drop sheet";
/// Nothing leaves.
pub const NOTHING: &str = "Nothing leaves the house for this date.";
/// Orders that name no drop.
pub const NO_TIME: &str = "no time in the order";
/// Those who fetch, or of whom nobody said.
pub const NO_RUN: &str = "fetched, or no run on file";
/// A column.
pub const PRODUCT: &str = "product";
/// A column.
pub const ORDERED: &str = "ordered";
/// A column.
pub const PACKED: &str = "packed";
/// A column.
pub const ALLERGENS: &str = "allergens by our records";
/// Blanks under a stop.
pub const BLANKS: [&str; 3] = ["crates out", "crates back", "received by (name, time)"];
/// How the stops stand.
pub const LAST_OFF_FIRST: &str = "in order of loading: last off first";
/// Nobody who asks is told more than the records say.
pub const ASK: &str =
    "Asked about allergens: read out what stands here, with product, revision and date.";

/// Which stop of a run.
#[must_use]
pub fn stop(stop: i64) -> String {
    format!("stop {stop}")
}

/// What is packed of what was asked.
#[must_use]
pub fn short(pieces: i64, asked: i64) -> String {
    format!("{pieces} of {asked}")
}

/// Pieces in sale units: `4 × 6`; none if they do not divide.
#[must_use]
pub fn packs(pieces: i64, sale_pack: i64) -> Option<String> {
    (sale_pack > 1 && pieces % sale_pack == 0)
        .then(|| format!("{} × {sale_pack}", pieces / sale_pack))
}

/// Allergens that a customer avoids.
#[must_use]
pub fn avoids(words: &[String]) -> String {
    format!("avoids {}", words.join(", "))
}
