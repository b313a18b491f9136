//! Orders: what one customer wants for one service date.

use crate::id::Code;
use jiff::{
    Timestamp,
    civil::{Date, Time},
};

/// Why the pieces of a line are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Wanted {
    /// Somebody ordered them, on top of any counter par.
    #[default]
    Ordered,
    /// Somebody ordered them, and they come out of the counter par.
    OutOfPar,
    /// The counter opens with them; nobody ordered them.
    Par,
    /// A forecast says that they will be ordered; nobody has yet.
    Forecast,
}

impl Wanted {
    /// Whether nobody ordered them.
    #[must_use]
    pub const fn is_ahead(self) -> bool {
        matches!(self, Self::Par | Self::Forecast)
    }
}

/// One product and quantity that a customer holds an order for, or that is made for it ahead
/// of orders.
///
/// A cancelled line has no pieces and stays in the history elsewhere.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderLine {
    /// Who wants it.
    pub customer: Code,
    /// The local day on which it is sold or delivered.
    pub service_date: Date,
    /// What is wanted.
    pub product: Code,
    /// Whole pieces, 0 or more.
    pub pieces: i64,
    /// Local time at which it leaves or is fetched.
    pub drop: Option<Time>,
    /// When the order was first taken, for ties.
    pub taken_at: Option<Timestamp>,
    /// Why they are wanted.
    pub wanted: Wanted,
}

/// What an order that is put, amended or cancelled changes in the lines that are held.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OrderChange {
    /// Lines that are held no more.
    pub gone: Vec<OrderLine>,
    /// Lines that are held from now on.
    pub come: Vec<OrderLine>,
}
