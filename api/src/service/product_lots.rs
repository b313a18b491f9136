//! Product lots: good pieces of one product that were baked together.
//!
//! All entries of one making carry `making:<uuid>` as their document: those of what went
//! into the pieces, and the one that made them. With the dough of their load, which the
//! entries of the load name, these are all that a piece is made of.

mod counting;
mod drawing;
mod label;
mod making;
mod sending;

pub(super) use counting::{count_again, waste_all};
pub use label::{Confirmed, LabelCheck, confirm_label, label_check};
pub(super) use label::{label_words, stop_if_changed};
pub use making::{Counted, Made, Making, Pieces, Rejected, WrittenUse, list, record};
pub(super) use making::{Maker, make};
pub(super) use sending::send_load;
pub use sending::{OrderGoods, Sending, Sent, SentLine, send};
