//! What happened: orders taken, lots in the house.

use crate::{lot::Lot, order::OrderLine};
use jiff::{Timestamp, civil::Date};

/// Everything that changes from hour to hour, as a plan needs it.
///
/// The order of its rows never changes an answer.
#[derive(Debug, Clone, Default)]
pub struct Book {
    /// Order lines that are held now.
    pub orders: Vec<OrderLine>,
    /// Service dates that have an order, even if all its lines are cancelled.
    pub service_dates: Vec<Date>,
    /// Lots in the house or on their way.
    pub lots: Vec<Lot>,
    /// The moment for which the stock figures stand; needs before it are in them.
    pub stock_as_of: Option<Timestamp>,
}
