//! Words on the prep sheet.

/// Its title.
pub const TITLE: &str = "Prep sheet";
/// Nothing to do.
pub const NOTHING: &str = "Nothing is made ready on this date.";
/// Title of the fruit.
pub const FRUIT: &str = "Fruit: skin first, then juice";
/// A column.
pub const START: &str = "start";
/// A column.
pub const ITEM: &str = "make";
/// A column.
pub const MASS: &str = "weigh in all";
/// A column.
pub const FOR: &str = "for";
/// A column.
pub const USE: &str = "use from / until";
/// A column.
pub const TEMPERATURE: &str = "°C";
/// A column.
pub const TIME: &str = "time";
/// A column.
pub const FRUITS: &str = "fruits";
/// A column.
pub const GIVES: &str = "must give";
/// Nobody said how long it keeps.
pub const NO_LIFE: &str = "life not on file: ask";
/// It is weighed already.
pub const DONE: &str = "DONE: do not make it again";
/// Must stand where something is cooked or cooled: the limits are the site's own.
pub const LIMITS: &str = "Cooked, cooled and raw-egg goods: write temperature and time; the limits stand in your own plan.";

/// Seed for the next build.
#[must_use]
pub fn keep_back(amount: &str, unit: &str) -> String {
    format!("keep back at least {amount} {unit} as seed")
}

/// The latest start that still meets every drop.
#[must_use]
pub fn latest(moment: &str) -> String {
    format!("at the latest {moment}")
}

/// How many loads.
#[must_use]
pub fn loads(loads: i64) -> String {
    if loads == 1 { "1 load".to_owned() } else { format!("{loads} loads") }
}

/// What spare of earlier fruit covers.
#[must_use]
pub fn from_spare(amount: &str, unit: &str) -> String {
    format!("{amount} {unit} of it is left from before")
}

/// Fruit that was cut before.
#[must_use]
pub fn cut_before(fruits: i64) -> String {
    format!("from {fruits} that are cut already")
}
