//! Whoever means ill: every operation with bodies, names and addresses that nobody would
//! send, on both databases. Nothing breaks, and every no is a problem document.

mod clients;
mod forms;
mod names;
mod texts;
