//! Which tables and columns there are, read off the schema of the bakery document.

use super::cell::Cell;
use crate::document::BakeryBody;
use serde_json::Value;
use std::{collections::BTreeMap, sync::LazyLock};
use utoipa::{PartialSchema, ToSchema};

/// A column of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// Where its value is in a record: one name, or several through records inside it.
    pub path: Vec<String>,
    /// What its cells hold.
    pub cell: Cell,
    /// Whether no record can do without it.
    pub required: bool,
}

impl Column {
    /// Its head: the names of its path with dots.
    #[must_use]
    pub fn head(&self) -> String {
        self.path.join(".")
    }
}

/// A table: one list of records.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// Its name, as a sheet or in an address: the names on the way to its list with dots.
    pub name: String,
    /// The table whose rows hold its lists, and where in their records; none if the list is
    /// the document's own.
    pub parent: Option<(usize, Vec<String>)>,
    /// Whether it has one row, which is a record and no list.
    pub single: bool,
    /// Its columns, those that are required first.
    pub columns: Vec<Column>,
}

/// All tables, each after the one that holds it.
#[must_use]
pub fn layout() -> &'static [Table] {
    static LAYOUT: LazyLock<Vec<Table>> = LazyLock::new(read);
    &LAYOUT
}

/// Longest name of a sheet; a longer one is cut.
///
/// # Source
/// The limit that the format's maker documents for its spreadsheet.
const NAME_CHARS_MAX: usize = 31;

/// Names that lead a table wherever they are in it.
const FIRST: [&str; 4] = ["code", "valid_from", "name", "item"];

fn read() -> Vec<Table> {
    let mut named = Vec::new();
    BakeryBody::schemas(&mut named);
    let schemas: Schemas = named
        .into_iter()
        .map(|(name, schema)| (name, serde_json::to_value(schema).unwrap_or_default()))
        .collect();
    let document = serde_json::to_value(BakeryBody::schema()).unwrap_or_default();
    let mut tables = Vec::new();
    for (name, schema) in properties(&document) {
        let (schema, single) = match items(schema) {
            Some(record) => (resolved(record, &schemas), false),
            None => (resolved(schema, &schemas), true),
        };
        add(&mut tables, &schemas, schema, Table::empty(name.clone(), None, single));
    }
    tables
}

type Schemas = BTreeMap<String, Value>;

impl Table {
    const fn empty(name: String, parent: Option<(usize, Vec<String>)>, single: bool) -> Self {
        Self { name, parent, single, columns: Vec::new() }
    }
}

/// Adds a table of the records of a schema, and the tables inside it.
fn add(tables: &mut Vec<Table>, schemas: &Schemas, record: &Value, mut table: Table) {
    let mut lists = Vec::new();
    columns(record, schemas, (&mut Vec::new(), true), &mut table.columns, &mut lists);
    table.columns.sort_by_key(|column| {
        let first = FIRST.iter().position(|name| column.path == [*name]);
        (first.unwrap_or(FIRST.len()), !column.required, column.path.clone())
    });
    let (at, name) = (tables.len(), table.name.clone());
    tables.push(table);
    for (path, record) in lists {
        let inner = format!("{name}.{}", path.join(".")).chars().take(NAME_CHARS_MAX).collect();
        add(tables, schemas, record, Table::empty(inner, Some((at, path)), false));
    }
}

/// Collects the columns of a record, and the lists of records in it.
fn columns<'a>(
    record: &'a Value,
    schemas: &'a Schemas,
    (path, required): (&mut Vec<String>, bool),
    columns_out: &mut Vec<Column>,
    lists: &mut Vec<(Vec<String>, &'a Value)>,
) {
    for variant in variants(record) {
        for (name, schema) in properties(variant) {
            path.push(name.clone());
            let is_known = columns_out.iter().any(|column| column.path == *path);
            let required = required && requires(variant, name) && variants(record).len() == 1;
            let schema = resolved(schema, schemas);
            if let Some(cell) = Cell::of(schema, |item| resolved(item, schemas)) {
                if !is_known {
                    columns_out.push(Column { path: path.clone(), cell, required });
                }
            } else if let Some(item) = items(schema) {
                lists.push((path.clone(), resolved(item, schemas)));
            } else {
                columns(schema, schemas, (path, required), columns_out, lists);
            }
            path.pop();
        }
    }
}

/// The shapes that a record may have; one if it is no choice.
fn variants(record: &Value) -> Vec<&Value> {
    match record.get("oneOf").and_then(Value::as_array) {
        Some(choices) => choices.iter().collect(),
        None => vec![record],
    }
}

/// The properties of an object's schema.
fn properties(schema: &Value) -> impl Iterator<Item = (&String, &Value)> {
    schema.get("properties").and_then(Value::as_object).into_iter().flatten()
}

fn requires(schema: &Value, name: &str) -> bool {
    let required = schema.get("required").and_then(Value::as_array);
    required.is_some_and(|names| names.iter().any(|one| one == name))
}

/// The schema of the elements, if a schema is that of a list.
fn items(schema: &Value) -> Option<&Value> {
    schema.get("items")
}

/// A schema behind its name, and of a choice with nothing the something.
fn resolved<'a>(schema: &'a Value, schemas: &'a Schemas) -> &'a Value {
    if let Some(name) = schema.get("$ref").and_then(Value::as_str) {
        let name = name.rsplit('/').next().unwrap_or_default();
        return schemas.get(name).map_or(schema, |schema| resolved(schema, schemas));
    }
    let choices = schema.get("oneOf").and_then(Value::as_array);
    let optional = choices.filter(|choices| choices.iter().any(is_null));
    match optional.and_then(|choices| choices.iter().find(|choice| !is_null(choice))) {
        Some(something) => resolved(something, schemas),
        None => schema,
    }
}

fn is_null(schema: &Value) -> bool {
    schema.get("type").is_some_and(|kind| kind == "null")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(name: &str) -> &'static Table {
        layout().iter().find(|table| table.name == name).expect("a table")
    }

    fn cell(table: &Table, head: &str) -> Cell {
        table.columns.iter().find(|column| column.head() == head).expect("a column").cell
    }

    #[test]
    fn every_list_of_the_document_is_a_table_and_lists_in_it_are_too() {
        let formulas = table("formulas");
        assert_eq!(formulas.columns[0].head(), "code");
        assert_eq!(cell(formulas, "makes"), Cell::Quantity);
        assert_eq!(cell(formulas, "age_window.least"), Cell::Text);
        assert_eq!(cell(formulas, "mixing.slow_minutes"), Cell::Integer);
        assert_eq!(cell(table("packs"), "price"), Cell::Money);
        assert_eq!(cell(table("customers"), "avoids"), Cell::Texts);
        assert_eq!(cell(table("items"), "allergens_known"), Cell::Flag);
        assert_eq!(cell(table("products"), "overs.policy"), Cell::Text);
        assert_eq!(cell(table("products"), "overs.multiple"), Cell::Integer);
        assert!(table("site").single);
        let breaks = table("packs.prices.breaks");
        let (parent, path) = breaks.parent.as_ref().expect("inside a table");
        assert_eq!(
            (layout()[*parent].name.as_str(), path.as_slice()),
            ("packs.prices", &["breaks".to_owned()][..])
        );
    }

    #[test]
    fn names_of_tables_are_told_apart_though_they_are_cut() {
        for table in layout() {
            let same = layout().iter().filter(|other| other.name == table.name);
            assert_eq!(same.count(), 1, "{}", table.name);
            assert!(table.columns.len() < super::super::COLUMNS_MAX, "{}", table.name);
            assert!(!table.columns.is_empty(), "{}", table.name);
        }
    }
}
