//! The rules of a bakery's morning, as pure computation.
//!
//! Orders become start pieces, pieces become doughs and fillings, these become
//! mixer loads and weighed lines, and what is weighed becomes need of stock at an
//! instant. Nothing here knows a clock, a database or a network: the same input
//! gives the same answer, byte for byte.
#![forbid(unsafe_code)]
#![deny(missing_docs)]

pub mod allergens;
pub mod bakery;
pub mod book;
pub mod calendar;
pub mod contents;
pub mod customer;
pub mod decision;
pub mod demand;
pub mod equipment;
pub mod expand;
pub mod fault;
pub mod ferment;
pub mod figure;
pub mod forecast;
pub mod formula;
pub mod fruit;
pub mod id;
pub mod item;
pub mod label;
pub mod labelling;
pub mod limits;
pub mod load;
pub mod lot;
pub mod mass_balance;
pub mod money;
pub mod movement;
pub mod net;
pub mod nutrients;
pub mod nutrition;
pub mod order;
pub mod overrides;
pub mod plan;
pub mod price;
pub mod product;
pub mod purchase;
pub mod quantity;
pub mod ratio;
pub mod regulation;
pub mod route;
pub mod rows;
pub mod scale;
pub mod scan;
pub mod schedule;
pub mod share;
pub mod shelf_life;
pub mod sign_off;
pub mod spans;
pub mod split;
pub mod standing_order;
pub mod supplier;
pub mod supplier_order;
pub mod temperature;
pub mod timetable;
pub mod trace;
pub mod valuation;
pub mod water;
pub mod weigh;
pub mod yields;
