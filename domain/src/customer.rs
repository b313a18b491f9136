//! Customers, and who is served first when there is too little.

use crate::{id::Code, order::Wanted, product::At};

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
    /// Whether its bookings come out of its counter par unless they say otherwise.
    pub books_out_of_par: bool,
    /// The van run that brings its goods; none if it fetches them, or nobody said.
    pub run: Option<Code>,
    /// Its place among the stops of that run: smaller is earlier.
    pub stop: Option<i64>,
}

/// What nobody ordered is served after the last tier that a customer may have.
const TIER_AHEAD: i64 = TIER_MAX + 1;

/// The last tier of a customer.
pub const TIER_MAX: i64 = 99;

impl Customer {
    /// When its line is served if there is too little: what nobody ordered comes last.
    ///
    /// # Source
    /// trade.md 5, lever 7: counter par down, then fair share.
    #[must_use]
    pub const fn tier_of(&self, wanted: Wanted) -> i64 {
        if wanted.is_ahead() { TIER_AHEAD } else { self.tier }
    }
}
