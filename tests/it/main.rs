//! Weighhouse from outside: one module per noun, each through the public API.
#![cfg(test)]

mod alder_yard;
mod check;
mod conformance;
mod cost;
mod crash;
mod day_sheets;
mod decisions;
mod dialects;
mod faults;
mod first_hour;
mod forecasts;
mod friction;
mod kept_plans;
mod ledger;
mod loads;
mod made_stock;
mod nasty;
mod openapi;
mod oracle;
mod order_book;
mod product_lots;
mod properties;
mod published;
mod scan;
mod schedule;
mod shortages;
mod sign_offs;
mod statements;
mod stock;
mod supplier_orders;
mod tidy;
mod tokens;
mod trace;
mod what_if;
mod workbench;
