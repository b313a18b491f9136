//! Weighhouse from outside: one module per noun, each through the public API.
#![cfg(test)]

mod alder_yard;
mod check;
mod conformance;
mod cost;
mod crash;
mod day_sheets;
mod dialects;
mod faults;
mod first_hour;
mod friction;
mod ledger;
mod loads;
mod made_stock;
mod nasty;
mod openapi;
mod oracle;
mod product_lots;
mod properties;
mod published;
mod scan;
mod schedule;
mod stock;
mod tidy;
mod tokens;
mod what_if;
