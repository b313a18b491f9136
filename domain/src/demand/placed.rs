//! Order lines by position: looked up once for all that a plan asks of them.

use crate::{
    bakery::Bakery,
    book::Book,
    id::Code,
    order::{OrderLine, Wanted},
};
use jiff::civil::{Date, Time};

/// An order line of a plan.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PlacedLine {
    /// Position of the service date among those of the plan.
    pub(crate) day: usize,
    /// Position of the product.
    pub(crate) product: u32,
    /// Position of the customer.
    pub(crate) customer: u32,
    /// Whole pieces.
    pub(crate) pieces: i64,
    /// Local time at which it leaves or is fetched.
    pub(crate) drop: Option<Time>,
    /// Why they are wanted.
    pub(crate) wanted: Wanted,
}

/// The order lines of a book as a plan asks for them.
#[derive(Debug, Clone, Default)]
pub(crate) struct Placed {
    /// Lines of the plan's service dates, as they stand in the book.
    pub(crate) lines: Vec<PlacedLine>,
    /// Product and customer of lines of any date where one of both is unknown, each once.
    pub(crate) unknown: Vec<(Code, Code)>,
}

impl Placed {
    /// Looks up the lines of a book; the plan's service dates are in order.
    pub(crate) fn new(bakery: &Bakery, book: &Book, dates: &[Date]) -> Self {
        let mut placed = Self::default();
        placed.lines.reserve(book.orders.len());
        for line in &book.orders {
            let OrderLine { service_date, pieces, drop, wanted, .. } = *line;
            let (Some(product), Some(customer)) = (
                bakery.index().product(line.product.as_str()),
                bakery.index().customer(line.customer.as_str()),
            ) else {
                placed.unknown.push((line.product.clone(), line.customer.clone()));
                continue;
            };
            if let Ok(day) = dates.binary_search(&service_date) {
                placed.lines.push(PlacedLine { day, product, customer, pieces, drop, wanted });
            }
        }
        placed.unknown.sort();
        placed.unknown.dedup();
        placed
    }
}
