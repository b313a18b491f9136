//! JSON shapes of what goes out; bodies of reference data stand in [`crate::document`].
//!
//! Each computed answer is one function from a morning to a `…View`. A sheet is drawn
//! from the same view, so paper and JSON cannot disagree.

pub mod allergens;
pub mod amount;
pub mod audit;
pub mod bake_sheet;
pub mod bench_sheet;
pub mod bin;
pub mod changes;
pub mod cost;
pub mod count;
pub mod csv;
pub mod day_board;
pub mod day_cost;
pub mod deliveries;
pub mod fair_share;
pub mod findings;
pub mod formula_views;
pub mod friction;
pub mod fridge;
pub mod ledger;
pub mod load;
pub mod lot;
pub mod lot_label;
pub mod made_lot;
pub mod mix_sheet;
pub mod money_flow;
pub mod movement;
pub mod moves;
pub mod order;
pub mod overrides;
pub mod pick_list;
pub mod piece;
pub mod printed;
pub mod product_lot;
pub mod projection;
pub mod proposals;
pub mod receipt;
pub mod requirements;
pub mod revision;
pub mod schedule;
pub mod shortages;
pub mod token;
pub mod waste;
pub mod weigh_out;
pub mod what_if;
pub mod why;
pub mod yields;
