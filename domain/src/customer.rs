//! Customers, and who is served first when there is too little.

use crate::{id::Code, product::At};

/// Who orders.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Customer {
    /// Its name.
    pub code: Code,
    /// What people call it.
    pub name: String,
    /// 1 is served first.
    pub tier: i64,
    /// Last moment for changes, against the service date.
    pub cutoff: Option<At>,
    /// Fewer pieces than this are of no use to it.
    pub minimum_useful: i64,
    /// Whether it takes all or nothing.
    pub all_or_nothing: bool,
    /// Allergens that it must not be sent, in the words of the bakery's records.
    pub avoids: Vec<String>,
    /// The van run that brings its goods; none if it fetches them, or nobody said.
    pub run: Option<Code>,
    /// Its place among the stops of that run: smaller is earlier.
    pub stop: Option<i64>,
}
