//! Words of the recall sheet.

/// Its title.
pub const TITLE: &str = "Recall file";
/// Where the mass went.
pub const MASS_BALANCE: &str = "Where it went, by mass";
/// Who got some.
pub const RECIPIENTS: &str = "Who got some of it";
/// Nobody did.
pub const NO_RECIPIENTS: &str = "The book names nobody who got some of it.";
/// What is left.
pub const IN_HOUSE: &str = "Still in the house: put it aside";
/// Nothing is.
pub const NOTHING_IN_HOUSE: &str = "By the book nothing of it is in the house. Look all the same.";
/// What is planned.
pub const PLANNED: &str = "Planned with it: stop these";
/// Nothing is.
pub const NOTHING_PLANNED: &str = "Nothing is planned with it.";
/// What it went into.
pub const WENT_INTO: &str = "What it went into";
/// What it came from.
pub const CAME_FROM: &str = "What it came from";
/// Nothing of that.
pub const NOTHING: &str = "Nothing by the book.";
/// Must stand on every recall file.
pub const NO_CUT: &str = "Every link of the book is listed, however small its share: a competent \
                          person sets the cut.";
/// Must stand on every recall file.
pub const DECIDE: &str = "Whether goods are called back, and what customers and authorities are \
                          told, is decided by a competent person under local law.";
/// Must stand on every recall file.
pub const RECORDS: &str = "Made from records: what was never written down is not here.";

/// How far and how much.
#[must_use]
pub fn share(generation: u32, percent: Option<&str>) -> String {
    match percent {
        Some(percent) => format!("{generation} · {percent} %"),
        None => format!("{generation} · share not known"),
    }
}

/// How much of what came is known.
#[must_use]
pub fn accounted(percent: Option<&str>) -> String {
    match percent {
        Some(percent) => format!("{percent} % accounted for"),
        None => "not known how much is accounted for: nothing came by the book".to_owned(),
    }
}

/// What runs short without the lot.
#[must_use]
pub fn short(amount: &str, at: Option<&str>) -> String {
    match at {
        Some(at) => format!("Without it the plan is short of {amount}, from {at} on"),
        None => format!("Without it the plan is short of {amount}"),
    }
}
