//! The bakery document as tables, for a spreadsheet: out, and in again.
//!
//! [`layout()`] is read off the document's own schema, so that a new field is a new column and
//! nothing is listed twice. Every list of records is a table; a record inside a record gives
//! columns with a dot (`cutoff.time`); a list inside a record is a table of its own whose first
//! column, `of`, names the row that it belongs to. [`assemble()`] makes a document of tables and
//! remembers which cell each value came from, so that every fault names its cell.

pub mod assemble;
pub mod cell;
pub mod grid;
pub mod layout;
pub mod text;
pub mod xlsx;

pub use assemble::{Assembled, assemble};
pub use grid::{Grid, grids};
pub use layout::{Table, layout};

/// Column of a table inside a table: which row of the outer one a row belongs to.
pub const OF: &str = "of";

/// Most rows of one table.
pub const ROWS_MAX: usize = 100_000;
/// Most columns of one table; ours have fewer than a hundred.
pub const COLUMNS_MAX: usize = 500;
