//! What to count next.

use crate::{
    service::stock::DueRow,
    wire::{amount::instant, lot::LotView},
};
use jiff::tz::TimeZone;
use serde::Serialize;
use utoipa::ToSchema;

/// What to count next, first things first.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CountsDueView {
    /// Every item is counted again after this many weeks.
    #[schema(example = 4)]
    pub count_weeks: i64,
    /// Items to count: less than nothing by the book, short in the plan, high value, then those
    /// that were not counted for the weeks above.
    pub rows: Vec<CountDueView>,
}

/// An item that is to be counted.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CountDueView {
    /// Code of the item or product.
    #[schema(example = "whole-milk")]
    pub item: String,
    /// `negative`, `short`, `high-value` or `cycle`.
    #[schema(example = "negative")]
    pub because: &'static str,
    /// When any lot of it was counted last; null if never.
    #[schema(example = json!(null))]
    pub counted_at: Option<String>,
    /// Its lots in the house.
    pub lots: Vec<LotView>,
}

impl CountsDueView {
    /// What to count next.
    #[must_use]
    pub fn new(rows: &[DueRow], count_weeks: i64, zone: &TimeZone) -> Self {
        let view = |row: &DueRow| {
            let DueRow { item, because, counted_at, lots } = row;
            CountDueView {
                item: item.clone(),
                because: because.word(),
                counted_at: counted_at.map(|at| instant(zone, at)),
                lots: lots.iter().map(LotView::new).collect(),
            }
        };
        Self { count_weeks, rows: rows.iter().map(view).collect() }
    }
}
