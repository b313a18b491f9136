//! Words of columns on the feed and fridge sheet.

/// A column.
pub const DOUGH: &str = "dough, lot";
/// A column.
pub const PRODUCT: &str = "product, lot";
/// A column.
pub const MADE: &str = "made";
/// A column.
pub const READY_FROM: &str = "ready from";
/// A column.
pub const BEST_FROM: &str = "best from";
/// A column.
pub const LAST: &str = "last";
/// A column.
pub const FOR_WHOM: &str = "for whom";
/// Nobody wrote where it lies.
pub const NO_PLACE: &str = "place?";
