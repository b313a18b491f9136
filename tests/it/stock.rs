//! Lots, counts, bins, waste and yields, through the API.
//!
//! # Source
//! The trade rules, part 4 and nasty cases 12 and 16.

mod bins;
mod counts;
mod expiring;
mod labels;
mod lots;
mod waste;
mod yields;
