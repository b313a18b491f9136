//! What things cost: by formula and price, and for whom.

mod changes;
mod day;
mod ledger;
mod planned;
