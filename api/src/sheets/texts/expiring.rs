//! Words of the sheet of what goes out of date.

/// Its title.
pub const TITLE: &str = "Out of date before it is used";
/// Nothing does.
pub const NOTHING: &str = "Nothing goes out of date unused up to this date.";
/// It is too late.
pub const PAST: &str = "PAST: STOP";
/// Nothing takes it.
pub const NO_USE: &str = "nothing on record";
/// Must stand where dates are read.
pub const DATES: &str = "Past a use-by date nothing is used. Past a best-before date only by a named \
                         person's decision.";
/// Must stand where freezing might be thought of.
pub const FREEZING: &str = "Freezing, giving away and feeding: only as the site's own plan and local \
                            law allow.";

/// What the plan takes before.
#[must_use]
pub fn planned(amount: &str) -> String {
    format!("planned before: {amount}")
}
