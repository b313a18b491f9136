//! What tables of a spreadsheet would make of the bakery.

use crate::{
    problem::FaultView,
    service::workbook::{Change, Trial},
    workbook::Grid,
};
use serde::Serialize;
use utoipa::ToSchema;

/// What tables make of the bakery, or would make.
#[derive(Debug, Serialize, ToSchema)]
pub struct WorkbookView {
    /// Whether it was only tried out: then nothing was written.
    pub dry_run: bool,
    /// Every fault by its cell: `/table/row/column`, the head being row 1.
    pub faults: Vec<FaultView>,
    /// What changes, list by list; lists without a change are left out.
    pub changes: Vec<TableChangeView>,
}

/// What changes in one list of the bakery document.
#[derive(Debug, Serialize, ToSchema)]
pub struct TableChangeView {
    /// The list.
    #[schema(example = "formulas")]
    pub list: String,
    /// Names of records that come.
    pub added: Vec<String>,
    /// Names of records that become others.
    pub changed: Vec<String>,
    /// Names of records that go.
    pub removed: Vec<String>,
}

impl WorkbookView {
    /// The answer about a trial.
    #[must_use]
    pub fn new(trial: &Trial, dry_run: bool) -> Self {
        let view = |change: &Change| TableChangeView {
            list: change.list.clone(),
            added: change.added.clone(),
            changed: change.changed.clone(),
            removed: change.removed.clone(),
        };
        Self {
            dry_run,
            faults: trial.faults.iter().map(FaultView::from).collect(),
            changes: trial.changes.iter().map(view).collect(),
        }
    }
}

/// A table of the bakery document.
#[derive(Debug, Serialize, ToSchema)]
pub struct TableView {
    /// Its name in addresses, and that of its sheet.
    #[schema(example = "formulas.lines")]
    pub table: String,
    /// How many rows it has.
    pub rows: usize,
    /// The heads of its columns.
    pub columns: Vec<String>,
}

impl TableView {
    /// What is said of a table.
    #[must_use]
    pub fn new(grid: &Grid) -> Self {
        Self { table: grid.name.clone(), rows: grid.rows.len(), columns: grid.head.clone() }
    }
}
