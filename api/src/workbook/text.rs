//! A grid as comma-separated values, and back.

use super::{COLUMNS_MAX, Grid, ROWS_MAX};
use crate::wire::csv;

/// Writes a grid.
#[must_use]
pub fn write(grid: &Grid) -> String {
    let head: Vec<&str> = grid.head.iter().map(String::as_str).collect();
    csv::table(&head, grid.rows.iter().cloned())
}

/// Reads a grid; commas or semicolons stand between its cells, as its first line says.
///
/// # Errors
/// Why the text is no table, in words.
pub fn read(name: &str, bytes: &[u8]) -> Result<Grid, String> {
    let text = std::str::from_utf8(bytes)
        .map_err(|_| "the file is not UTF-8: save it as CSV UTF-8".to_owned())?;
    let mut records = csv::rows(text.strip_prefix('\u{feff}').unwrap_or(text));
    let head = match records.next() {
        Some(head) => head.map_err(|error| error.to_string())?,
        None => return Err("the file is empty: its first line must name the columns".to_owned()),
    };
    if head.len() > COLUMNS_MAX {
        return Err(format!("the table has more than {COLUMNS_MAX} columns"));
    }
    let rows: Vec<Vec<String>> =
        records.take(ROWS_MAX + 1).collect::<Result<_, _>>().map_err(|error| error.to_string())?;
    if rows.len() > ROWS_MAX {
        return Err(format!("the table has more than {ROWS_MAX} rows: send it in parts"));
    }
    Ok(Grid { name: name.to_owned(), head, rows })
}
