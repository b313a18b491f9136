//! Weighhouse: a bakery's orders in; the morning's weigh-out, pick list and shortages out.
//!
//! How one request goes through the files, for `GET /v1/work-dates/2026-06-11/weigh-out`:
//!
//! 1. At the [`front`] door its token is judged and its job looked up in [`access`]; who asks
//!    goes along as the [`caller`]. [`server`] then hands it to the handler in [`routes`], which reads path, query and body
//!    with [`extract`]. What cannot be read is a [`problem`] that names its place.
//! 2. The handler makes one call to a [`service`], which opens one transaction of the
//!    [`store`], loads the bakery ([`document`]) and what happened, and asks the `domain`
//!    crate for the plan. [`answer`] runs this off the threads that wait for requests.
//! 3. The handler renders what came back and it goes out.
//!
//! A `POST` goes the same way through [`service::idempotency`], which keeps the answer
//! under the client's key. The [`command`] line calls the same services without a server.
//! [`state`] is what all requests share; [`clock`] and [`config`] are the only places that
//! read the time and the environment; [`openapi`] publishes what [`routes`] lists.

/// Plans are many small blocks that come and go.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

pub mod access;
pub mod answer;
pub mod caller;
pub mod clock;
pub mod command;
pub mod config;
pub mod courier;
mod digest;
pub mod document;
pub mod extract;
pub mod front;
mod link;
pub mod logs;
pub mod messages;
pub mod metrics;
pub mod notice;
pub mod nutrients;
pub mod openapi;
pub mod page;
pub mod pages;
pub mod pieces;
pub mod problem;
mod records;
pub mod routes;
pub mod server;
pub mod service;
pub mod sheets;
pub mod state;
pub mod store;
mod streams;
mod tls;
pub mod wire;
pub mod workbook;
