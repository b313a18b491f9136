//! Orders: what one customer wants for one service date.

use crate::id::Code;
use jiff::{
    Timestamp,
    civil::{Date, Time},
};

/// One product and quantity that a customer holds an order for.
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
}

/// What an order that is put, amended or cancelled changes in the lines that are held.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OrderChange {
    /// Lines that are held no more.
    pub gone: Vec<OrderLine>,
    /// Lines that are held from now on.
    pub come: Vec<OrderLine>,
}
