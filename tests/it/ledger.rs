//! The ledger under random commands and under many writers at once.
//!
//! # Source
//! Section 6 of the published check values: ledger invariants 1 (balances are sums; trade.md
//! part 4 and case 16 let a book go below zero, and then it is never available), 3, 4, 5, 7,
//! 8 and 11.

mod floor;
mod machine;
mod writers;
