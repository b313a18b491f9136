//! Lots: received or made quantities that share origin and date.

use crate::id::Code;
use jiff::{Timestamp, civil::Date};

/// What may be done with a lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LotState {
    /// On its way, or not made yet.
    Expected,
    /// Must not be used.
    Hold,
    /// May be used.
    Released,
    /// May be used, and a pack of it is open.
    Open,
}

/// What a finished piece in stock may be used for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LotUse {
    /// Anything.
    Any,
    /// Only as an ingredient of another product.
    Ingredient,
}

/// A quantity of one item or product that shares origin and date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lot {
    /// The name on the pack.
    pub name: String,
    /// What it is: an item, a formula's item or a product.
    pub item: Code,
    /// What is left by the book, in millionths of the base unit; may be negative.
    pub balance_micro: i64,
    /// What may be done with it.
    pub state: LotState,
    /// What a finished piece may be used for.
    pub usage: LotUse,
    /// When it came in.
    pub received: Date,
    /// Last local date of use, from the pack.
    pub date: Option<Date>,
    /// Last instant of use where hours count.
    pub usable_until: Option<Timestamp>,
    /// When it is put away, if it is still expected.
    pub arrives: Option<Timestamp>,
    /// Its bake date, for finished goods.
    pub baked: Option<Date>,
    /// When it was mixed or built, if it was made here: its age counts from here.
    pub made_at: Option<Timestamp>,
    /// When its open pack was opened.
    pub opened: Option<Timestamp>,
    /// Where it lies.
    pub place: Option<Code>,
}
