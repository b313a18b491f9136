//! What the integration tests stand on: a client with one method per call, a server in
//! this process with its clock held still, exact numbers to compare with, and the reader
//! that turns a conformance scenario into the documents that the API takes.
//!
//! Nothing here computes with the service's own code: a test compares the service with a
//! figure from outside, or with the slow model in `oracle`, never with itself.

pub mod browser;
pub mod builders;
pub mod client;
pub mod codes;
pub mod compatible;
pub mod demo;
pub mod exact;
pub mod figures;
pub mod house;
pub mod kitchen;
pub mod oracle;
pub mod parsers;
pub mod postgres;
pub mod receiver;
pub mod row;
pub mod scenario;
pub mod seen;
pub mod server;
pub mod source;
pub mod stockroom;
pub mod ubl;
