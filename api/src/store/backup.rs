//! Whole copies of a database, online: always an embedded database in one file, whichever
//! dialect it came from, so that a copy of either can be opened, proved, and put into either.
//!
//! Between dialects rows go as JSON, which both read and write exactly for texts, whole numbers
//! and truths; there are no others. Tables and columns are read off the embedded schema, so
//! that a new table is in the next copy without a word here.

use super::{
    StoreError, Tx, dialect, migrate,
    pool::{Manager, database_file},
};
use crate::config::Storage;
use diesel::r2d2::ManageConnection as _;
use std::path::Path;

/// Rows that go over at a time.
const PAGE: i64 = 200;

/// A table as the embedded schema has it.
struct Table {
    name: String,
    columns: Vec<String>,
    /// Its primary key.
    key: Vec<String>,
}

impl Table {
    fn quoted(names: &[String]) -> String {
        names.iter().map(|name| format!("\"{name}\"")).collect::<Vec<_>>().join(", ")
    }
}

/// Copies all that one moment holds into the folder of a new embedded database, while others
/// read and write.
///
/// # Errors
/// [`StoreError`]
pub fn copy_out(storage: &Storage, folder: &Path) -> Result<(), StoreError> {
    let mut from = Manager::new(storage).connect()?;
    let file = database_file(folder);
    if dialect::copy_file(&mut from, &file.to_string_lossy())? {
        return Ok(());
    }
    let mut into = Manager::new(&Storage::Embedded(folder.to_owned())).connect()?;
    migrate::up(&mut into)?;
    dialect::begin_read(&mut from)?;
    let copied = copy(&mut from, &mut into);
    dialect::end(&mut from);
    copied
}

/// Copies the embedded database of a folder into an empty database, all or nothing.
///
/// # Errors
/// [`StoreError::Occupied`] if anything is in it.
pub fn copy_in(folder: &Path, storage: &Storage) -> Result<(), StoreError> {
    let mut from = Manager::new(&Storage::Embedded(folder.to_owned())).connect()?;
    let mut into = Manager::new(storage).connect()?;
    migrate::up(&mut into)?;
    for table in tables(&mut from)? {
        if count(&mut into, &table)? > 0 {
            return Err(StoreError::Occupied(table.name));
        }
    }
    copy(&mut from, &mut into)
}

/// The shops that a database holds.
///
/// # Errors
/// [`StoreError`]
pub fn sites(storage: &Storage) -> Result<Vec<String>, StoreError> {
    let mut tx = Manager::new(storage).connect()?;
    Ok(dialect::texts(&mut tx, "SELECT site AS text FROM sites ORDER BY site")?)
}

/// Fails unless the folder holds a database of ours, and of no later release.
///
/// # Errors
/// [`StoreError::Migrate`] says what it is instead.
pub fn recognise(folder: &Path) -> Result<(), StoreError> {
    let mut tx = Manager::new(&Storage::Embedded(folder.to_owned())).connect()?;
    let steps = "SELECT version AS text FROM __diesel_schema_migrations ORDER BY version";
    let steps = dialect::texts(&mut tx, steps)
        .map_err(|_| StoreError::Migrate("the file is no copy of a Weighhouse".to_owned()))?;
    let known = migrate::steps()?;
    match steps.iter().find(|step| !known.contains(step)) {
        None => Ok(()),
        Some(step) => Err(StoreError::Migrate(format!(
            "the file was written by a later release, which knows step {step}: use that release"
        ))),
    }
}

/// Puts all of an embedded database into its one file, so that the file can be moved.
///
/// # Errors
/// [`StoreError`]
pub fn settle(folder: &Path) -> Result<(), StoreError> {
    let mut tx = Manager::new(&Storage::Embedded(folder.to_owned())).connect()?;
    Ok(dialect::settle(&mut tx)?)
}

/// Copies every table in one transaction, and counts both sides.
fn copy(from: &mut Tx, into: &mut Tx) -> Result<(), StoreError> {
    let tables = if dialect::is_embedded(from) { tables(from)? } else { tables(into)? };
    dialect::begin_copy(into)?;
    for table in &tables {
        copy_table(from, into, table)?;
        if count(from, table)? != count(into, table)? {
            return Err(StoreError::Corrupt("copy"));
        }
    }
    Ok(dialect::commit(into)?)
}

fn copy_table(from: &mut Tx, into: &mut Tx, table: &Table) -> Result<(), StoreError> {
    let Table { name, columns, key } = table;
    let (key, columns) = (Table::quoted(key), columns.as_slice());
    let insert = dialect::insert_of_json(into, name, columns);
    dialect::pages_as_json(from, (name, columns, &key), PAGE, &mut |rows| {
        dialect::execute_with(into, &insert, &format!("[{}]", rows.join(",")))
    })?;
    Ok(())
}

fn count(tx: &mut Tx, table: &Table) -> Result<i64, StoreError> {
    let sql = format!("SELECT CAST(count(*) AS TEXT) AS text FROM \"{}\"", table.name);
    let text = dialect::texts(tx, &sql)?.pop().unwrap_or_default();
    text.parse().map_err(|_| StoreError::Corrupt("count"))
}

/// The tables of an embedded database, each after those that it refers to.
fn tables(tx: &mut Tx) -> Result<Vec<Table>, StoreError> {
    let names = "SELECT name AS text FROM sqlite_schema WHERE type = 'table' \
                 AND name NOT LIKE 'sqlite_%' AND name NOT LIKE '\\_\\_%' ESCAPE '\\' ORDER BY name";
    let mut open = plain(dialect::texts(tx, names)?)?;
    let mut done: Vec<Table> = Vec::new();
    while !open.is_empty() {
        let before = open.len();
        for name in std::mem::take(&mut open) {
            let used = format!("SELECT \"table\" AS text FROM pragma_foreign_key_list('{name}')");
            let used = dialect::texts(tx, &used)?;
            let ready = |used: &String| *used == name || done.iter().any(|t| t.name == *used);
            if used.iter().all(ready) {
                let column = |more: &str| {
                    format!("SELECT name AS text FROM pragma_table_info('{name}') {more}")
                };
                let columns = plain(dialect::texts(tx, &column("ORDER BY cid"))?)?;
                let key = dialect::texts(tx, &column("WHERE pk > 0 ORDER BY pk"))?;
                done.push(Table { name, columns, key });
            } else {
                open.push(name);
            }
        }
        if open.len() == before {
            return Err(StoreError::Corrupt("order of tables"));
        }
    }
    Ok(done)
}

/// Names that go into statements as they are. Those of ours are plain words; a file that was
/// put together to do harm may have others.
fn plain(names: Vec<String>) -> Result<Vec<String>, StoreError> {
    let letter = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_';
    if names.iter().all(|name| name.bytes().all(letter)) {
        return Ok(names);
    }
    Err(StoreError::Corrupt("name of a table"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_that_would_end_its_statement_is_refused() {
        assert!(plain(vec!["order_lines".to_owned(), "sha256".to_owned()]).is_ok());
        for name in ["a\"; DROP TABLE lots --", "a'b", "a b", "A"] {
            assert!(plain(vec!["lots".to_owned(), name.to_owned()]).is_err(), "{name}");
        }
    }
}
