//! What things cost: by formula and price, and for whom.

mod actual;
mod changes;
mod day;
mod labour;
mod ledger;
mod planned;
