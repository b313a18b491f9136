//! Words of labels.

/// Title of a page of labels.
pub const TITLE: &str = "Label";
/// Before the lot's name.
pub const LOT: &str = "Lot";
/// Before the moment it was made.
pub const MADE: &str = "Made";
/// Before the day it came.
pub const RECEIVED: &str = "Received";
/// Before a use-by date.
pub const USE_BY: &str = "USE BY";
/// Before a best-before date.
pub const BEST_BEFORE: &str = "Best before";
/// Before the last instant of use by all rules.
pub const USABLE_UNTIL: &str = "Usable until";
/// Nobody decided how long it keeps.
pub const NO_DATE: &str = "Use until: not known, ask before you use it";
/// Before the life of an opened pack.
pub const ONCE_OPENED: &str = "Once opened use within";
/// Before the moment it was opened, or a space to write it.
pub const OPENED_ON: &str = "opened";
/// Before the reason why nobody may use it.
pub const STOP: &str = "STOP:";
/// What was frozen once.
pub const NO_SECOND_FREEZING: &str = "No second freezing.";
/// The list is only as good as its records.
pub const FROM_RECORDS: &str = "Allergens from our records: check the label on the pack.";
