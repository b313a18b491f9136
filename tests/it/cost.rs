//! What things cost: by formula and price, and for whom.

mod day;
mod ledger;
