//! Tables into a document, with the cell that each value came from.

use super::{
    Grid, OF, grid, grids,
    layout::{Column, Table, layout},
};
use crate::document::Fault;
use serde_json::{Map, Value};
use std::{collections::BTreeMap, sync::Arc};

/// A document that was made of tables.
#[derive(Debug, Clone)]
pub struct Assembled {
    /// The document, in the shape of the bakery document but not checked.
    pub document: Value,
    /// Where each record stands.
    places: BTreeMap<String, Place>,
}

/// Where a record stands: in which table, in which row (the head is row 1), with which heads.
#[derive(Debug, Clone)]
struct Place {
    table: usize,
    row: usize,
    heads: Arc<[String]>,
}

/// Makes a document of tables; tables that were not sent stay as they are in `held`.
///
/// Rows of a table that was not sent go when the record that they belong to is gone.
///
/// # Errors
/// Every fault of a sheet, a head or a cell, with its place `/table/row/column`.
pub fn assemble(sent: &[Grid], held: Option<&Value>) -> Result<Assembled, Vec<Fault>> {
    let mut faults = Vec::new();
    for (at, one) in sent.iter().enumerate() {
        if !layout().iter().any(|table| table.name == one.name) {
            let names: Vec<&str> = layout().iter().map(|table| table.name.as_str()).collect();
            let detail = format!("there is no table {}: there are {}", one.name, names.join(", "));
            faults.push(Fault { pointer: format!("/{}", one.name), kind: "unknown-key", detail });
        } else if sent[..at].iter().any(|other| other.name == one.name) {
            let detail = format!("the table {} is there twice", one.name);
            faults.push(Fault { pointer: format!("/{}", one.name), kind: "malformed", detail });
        }
    }
    let kept = held.map(grids).unwrap_or_default();
    let mut work = Work::default();
    for (at, table) in layout().iter().enumerate() {
        match sent.iter().find(|one| one.name == table.name) {
            Some(one) => work.take(at, one, true, &mut faults),
            None => {
                if let Some(one) = kept.iter().find(|one| one.name == table.name) {
                    work.numbered(table, one, sent, &mut faults);
                    work.take(at, one, false, &mut faults);
                }
            }
        }
    }
    if faults.is_empty() {
        let document = Value::Object(work.document);
        return Ok(Assembled { document, places: work.places });
    }
    Err(faults)
}

/// What was made so far.
#[derive(Default)]
struct Work {
    document: Map<String, Value>,
    places: BTreeMap<String, Place>,
    /// Of each table: the pointer of the record behind each key.
    keys: BTreeMap<usize, BTreeMap<String, String>>,
}

impl Work {
    /// Takes the rows of a table. Those of a table that was not sent may have lost the record
    /// that they belong to, and are left out.
    fn take(&mut self, at: usize, grid: &Grid, sent: bool, faults: &mut Vec<Fault>) {
        let table = &layout()[at];
        let Some(columns) = heads(table, grid, faults) else { return };
        let heads: Arc<[String]> = grid.head.as_slice().into();
        for (number, cells) in grid.rows.iter().enumerate() {
            if cells.iter().all(|cell| cell.trim().is_empty()) {
                continue;
            }
            let place = Place { table: at, row: number + 2, heads: Arc::clone(&heads) };
            let record = record(&columns, cells, &place, faults);
            let home = self.home(table, &record, (cells, &place), sent, faults);
            let Some((key, pointer)) = home else { continue };
            self.put(&pointer, record);
            let keys = self.keys.entry(at).or_default();
            if keys.insert(key.clone(), pointer.clone()).is_some() && sent {
                let detail = format!("{key} is there twice");
                faults.push(place.fault("code", "duplicate", &detail));
            }
            self.places.insert(pointer, place);
        }
    }

    /// The key and the pointer of a row's record; none if it belongs to nothing.
    fn home(
        &self,
        table: &Table,
        record: &Value,
        (cells, place): (&[String], &Place),
        sent: bool,
        faults: &mut Vec<Fault>,
    ) -> Option<(String, String)> {
        let Some((parent, path)) = &table.parent else {
            let key = grid::key(record);
            if table.single {
                return Some((key, format!("/{}", table.name)));
            }
            let list = self.document.get(&table.name).and_then(Value::as_array);
            let at = list.map_or(0, Vec::len);
            return Some((key, format!("/{}/{at}", table.name)));
        };
        let of = place.heads.iter().position(|head| head.trim() == OF).and_then(|at| cells.get(at));
        let of = of.map(|of| of.trim()).unwrap_or_default();
        let outer = self.keys.get(parent).and_then(|keys| keys.get(of));
        let Some(outer) = outer else {
            if sent {
                let name = &layout()[*parent].name;
                let detail = format!("no row of {name} is called `{of}`");
                faults.push(place.fault(OF, "unknown-code", &detail));
            }
            return None;
        };
        let list = format!("{outer}/{}", path.join("/"));
        let at = find(&self.document, &list).and_then(Value::as_array).map_or(0, Vec::len);
        Some((grid::inner_key(of, at), format!("{list}/{at}")))
    }

    /// Puts a record at its pointer, making what is on the way.
    fn put(&mut self, pointer: &str, record: Value) {
        let mut names = pointer.split('/').skip(1);
        let Some(first) = names.next() else { return };
        let mut here = self.document.entry(first).or_insert(Value::Null);
        for name in names {
            if let Ok(at) = name.parse::<usize>() {
                if !here.is_array() {
                    *here = Value::Array(Vec::new());
                }
                let Value::Array(list) = here else { return };
                if list.len() <= at {
                    list.resize(at + 1, Value::Null);
                }
                here = &mut list[at];
            } else {
                if !here.is_object() {
                    *here = Value::Object(Map::new());
                }
                let Value::Object(object) = here else { return };
                here = object.entry(name).or_insert(Value::Null);
            }
        }
        *here = record;
    }

    /// Rows that count the rows of a table that was sent must be sent with it.
    fn numbered(&self, table: &Table, kept: &Grid, sent: &[Grid], faults: &mut Vec<Fault>) {
        let Some(parent) = table.parent.as_ref().map(|(parent, _)| &layout()[*parent]) else {
            return;
        };
        let renumbered = parent.parent.is_some() && sent.iter().any(|one| one.name == parent.name);
        if renumbered && !kept.rows.is_empty() {
            let (name, parent) = (&table.name, &parent.name);
            let detail = format!(
                "the rows of {name} are named by the number of a row of {parent}: send both"
            );
            faults.push(Fault { pointer: format!("/{name}"), kind: "missing", detail });
        }
    }
}

/// A value by its pointer.
fn find<'a>(document: &'a Map<String, Value>, pointer: &str) -> Option<&'a Value> {
    let (first, rest) = pointer.strip_prefix('/')?.split_once('/')?;
    document.get(first)?.pointer(&format!("/{rest}"))
}

/// The column of each cell of a row; none if the head cannot be used.
fn heads<'a>(
    table: &'a Table,
    grid: &Grid,
    faults: &mut Vec<Fault>,
) -> Option<Vec<Option<&'a Column>>> {
    let count = faults.len();
    let heads: Vec<&str> = grid.head.iter().map(|head| head.trim()).collect();
    let mut columns = Vec::with_capacity(heads.len());
    for (at, head) in heads.iter().enumerate() {
        let column = table.columns.iter().find(|column| column.head() == *head);
        let is_of = *head == OF && table.parent.is_some();
        let detail = if heads[..at].contains(head) && !head.is_empty() {
            Some(("malformed", format!("the column {head} is there twice")))
        } else if column.is_none() && !is_of && !head.is_empty() {
            let known: Vec<String> = table.columns.iter().map(Column::head).collect();
            Some((
                "unknown-key",
                format!("there is no column {head}: there are {}", known.join(", ")),
            ))
        } else {
            None
        };
        if let Some((kind, detail)) = detail {
            faults.push(fault(&table.name, (1, at, head), kind, &detail));
        }
        columns.push(column);
    }
    let of = table.parent.as_ref().map(|_| OF.to_owned());
    let required = table.columns.iter().filter(|column| column.required).map(Column::head);
    for head in of.into_iter().chain(required).filter(|head| !heads.contains(&head.as_str())) {
        let detail = format!("the column {head} is missing");
        faults.push(fault(&table.name, (1, heads.len(), &head), "missing", &detail));
    }
    (faults.len() == count).then_some(columns)
}

/// A row as a record; cells that cannot be read are faults.
fn record(
    columns: &[Option<&Column>],
    cells: &[String],
    place: &Place,
    faults: &mut Vec<Fault>,
) -> Value {
    let mut record = Map::new();
    for (at, cell) in cells.iter().enumerate() {
        let text = cell.trim();
        let Some(column) = columns.get(at).copied().flatten() else {
            let is_of = place.heads.get(at).is_some_and(|head| head.trim() == OF);
            if !text.is_empty() && !is_of {
                let detail = "this cell stands under no head: name its column, or empty it";
                faults.push(fault(
                    &layout()[place.table].name,
                    (place.row, at, ""),
                    "malformed",
                    detail,
                ));
            }
            continue;
        };
        if text.is_empty() {
            continue;
        }
        match column.cell.read(text) {
            Ok(value) => put_in(&mut record, &column.path, value),
            Err(should) => {
                let shown: String = text.chars().take(40).collect();
                let detail = format!("`{shown}` cannot be read: {should}");
                faults.push(place.fault(&column.head(), "malformed", &detail));
            }
        }
    }
    Value::Object(record)
}

/// Puts a value into a record, through records inside it.
fn put_in(record: &mut Map<String, Value>, path: &[String], value: Value) {
    match path {
        [] => {}
        [name] => {
            record.insert(name.clone(), value);
        }
        [name, rest @ ..] => {
            let inner = record.entry(name.clone()).or_insert_with(|| Value::Object(Map::new()));
            if let Value::Object(inner) = inner {
                put_in(inner, rest, value);
            }
        }
    }
}

impl Place {
    /// A fault in a cell of this row.
    fn fault(&self, head: &str, kind: &'static str, detail: &str) -> Fault {
        let at = self.heads.iter().position(|one| one.trim() == head).unwrap_or(0);
        fault(&layout()[self.table].name, (self.row, at, head), kind, detail)
    }
}

/// A fault in a cell: its place as `/table/row/column`, and in the sentence as a spreadsheet
/// names it.
fn fault(
    table: &str,
    (row, column, head): (usize, usize, &str),
    kind: &'static str,
    detail: &str,
) -> Fault {
    let cell = format!("{}{row}", letters(column));
    let pointer = format!("/{table}/{row}/{head}");
    Fault { pointer, kind, detail: format!("{table} {cell}: {detail}") }
}

/// The letters of a column: A to Z, then AA.
fn letters(column: usize) -> String {
    let mut letters = Vec::new();
    let mut left = column + 1;
    while left > 0 {
        left -= 1;
        letters.push(char::from(b'A' + u8::try_from(left % 26).unwrap_or_default()));
        left /= 26;
    }
    letters.iter().rev().collect()
}

impl Assembled {
    /// A fault of the document as one of the cell that it comes from.
    #[must_use]
    pub fn located(&self, found: Fault) -> Fault {
        let names: Vec<&str> = found.pointer.split('/').skip(1).collect();
        for length in (1..=names.len()).rev() {
            let pointer = format!("/{}", names[..length].join("/"));
            let Some(place) = self.places.get(&pointer) else { continue };
            let table = &layout()[place.table];
            let head = (0..=names.len() - length).rev().find_map(|more| {
                let head = names[length..length + more].join(".");
                table.columns.iter().map(Column::head).find(|column| *column == head)
            });
            let first = || table.columns.first().map(Column::head).unwrap_or_default();
            return place.fault(&head.unwrap_or_else(first), found.kind, &found.detail);
        }
        found
    }
}

#[cfg(test)]
mod tests;
