//! JSON shapes of what goes out; bodies of reference data stand in [`crate::document`].
//!
//! Each computed answer is one function from a morning to a `…View`. A sheet is drawn
//! from the same view, so paper and JSON cannot disagree.

pub mod allergens;
pub mod amount;
pub mod bin;
pub mod cost;
pub mod count;
pub mod deliveries;
pub mod fair_share;
pub mod findings;
pub mod formula_views;
pub mod ledger;
pub mod lot;
pub mod movement;
pub mod moves;
pub mod order;
pub mod pick_list;
pub mod printed;
pub mod projection;
pub mod proposals;
pub mod receipt;
pub mod requirements;
pub mod shortages;
pub mod waste;
pub mod weigh_out;
pub mod why;
pub mod yields;
