//! A table as plain cells of text: what a sheet or a file of separated values holds.

use super::{
    OF,
    layout::{Table, layout},
};
use serde_json::Value;

/// A sheet: its name, its head, and rows of texts that are as wide as the head.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grid {
    /// Name of its table.
    pub name: String,
    /// The heads of its columns.
    pub head: Vec<String>,
    /// Its rows; a missing cell is an empty text.
    pub rows: Vec<Vec<String>>,
}

/// A document as one grid for each table, in the order of [`layout()`]; empty tables have a head.
#[must_use]
pub fn grids(document: &Value) -> Vec<Grid> {
    let mut grids: Vec<Grid> = layout().iter().map(empty).collect();
    for (at, table) in layout().iter().enumerate().filter(|(_, table)| table.parent.is_none()) {
        let Some(value) = document.get(&table.name) else { continue };
        let records = value.as_array().map_or(std::slice::from_ref(value), Vec::as_slice);
        for record in records {
            fill(&mut grids, at, record, (&key(record), None));
        }
    }
    grids
}

/// A table without rows.
fn empty(table: &Table) -> Grid {
    let of = table.parent.as_ref().map(|_| OF.to_owned());
    let heads = table.columns.iter().map(super::layout::Column::head);
    Grid { name: table.name.clone(), head: of.into_iter().chain(heads).collect(), rows: vec![] }
}

/// Writes a record as a row, and the lists in it as rows of their tables.
fn fill(grids: &mut [Grid], at: usize, record: &Value, (key, of): (&str, Option<&str>)) {
    let cells = layout()[at].columns.iter().map(|column| {
        let value = column.path.iter().try_fold(record, |value, name| value.get(name));
        column.cell.write(value.filter(|value| !value.is_null()))
    });
    grids[at].rows.push(of.map(str::to_owned).into_iter().chain(cells).collect());
    for (inner, table) in layout().iter().enumerate() {
        let Some((_, path)) = table.parent.as_ref().filter(|(parent, _)| *parent == at) else {
            continue;
        };
        let list = path.iter().try_fold(record, |value, name| value.get(name));
        for (number, record) in list.and_then(Value::as_array).into_iter().flatten().enumerate() {
            fill(grids, inner, record, (&inner_key(key, number), Some(key)));
        }
    }
}

/// How rows of other tables name a record: its code, with its first date if it is dated.
#[must_use]
pub fn key(record: &Value) -> String {
    let text = |name: &str| record.get(name).and_then(Value::as_str).unwrap_or_default();
    match text("valid_from") {
        "" => text("code").to_owned(),
        from => format!("{}@{from}", text("code")),
    }
}

/// How rows name the record at a place of the list of another: its key, and its number from 1.
pub(super) fn inner_key(of: &str, at: usize) -> String {
    format!("{of}/{}", at + 1)
}
