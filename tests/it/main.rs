//! Weighhouse from outside: one module per noun, each through the public API.
#![cfg(test)]

mod alder_yard;
mod conformance;
mod crash;
mod dialects;
mod faults;
mod first_hour;
mod ledger;
mod nasty;
mod openapi;
mod oracle;
mod properties;
mod published;
mod stock;
mod tidy;
