//! Paper: views drawn as quiet HTML that prints black on white, without any script.
//!
//! A sheet is drawn from the view that is also sent as JSON. All words are
//! messages, phrases with figures stand in [`texts`]; all looks stand in one style sheet, so that pages need no inline style.

pub mod actual_cost;
pub mod allergen_matrix;
pub mod allergens;
pub mod bake_sheet;
mod bar;
pub mod bench_sheet;
pub mod changes;
pub mod chart;
pub mod cost_changes;
pub mod count_sheet;
pub mod cuts;
pub mod day_board;
pub mod day_cost;
pub mod drop_sheet;
pub mod expiring;
mod format;
pub mod fridge;
pub mod label;
pub mod lot_label;
pub mod mix_sheet;
pub mod money_flow;
mod page;
pub mod pick_list;
pub mod prep_sheet;
pub mod recall;
pub mod receiving_sheet;
pub mod replaced;
pub mod schedule;
pub mod shortages;
pub mod supplier_order;
pub mod symbol;
pub mod texts;
pub mod tree;
pub mod waste;
pub mod weigh_out;
pub mod workbench;

pub use format::{Format, Offer, csv, file, html, in_pieces, on_paper, pdf, preferred, words};
pub use page::said;

/// The looks of all pages.
pub const STYLE: &str = include_str!("sheets/sheet.css");
