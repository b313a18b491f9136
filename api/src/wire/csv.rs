//! Tables as comma-separated values, safe to open in a spreadsheet.

use csv::{ReaderBuilder, StringRecord, Terminator, WriterBuilder};

/// A table with its head.
///
/// A text that a spreadsheet would run as a formula gets an apostrophe before it; a number
/// does not, whatever its sign.
///
/// # Source
/// RFC 4180; cells that begin with `=`, `+`, `-` or `@`, also of full width, are run by
/// spreadsheets (common practice).
#[must_use]
pub fn table(head: &[&str], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut writer = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
    // Writing into memory never fails, and every row has as many cells as the head.
    let _ = writer.write_record(head);
    for row in rows {
        let _ = writer.write_record(row.iter().map(|cell| guarded(cell)));
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}

/// The rows of a table as they were before [`table`] wrote them, the head first. A first line
/// with more semicolons than commas says that semicolons stand between cells, as spreadsheets
/// write it where the comma is a decimal sign.
///
/// Each row is an error if its quotes do not close.
pub fn rows(text: &str) -> impl Iterator<Item = Result<Vec<String>, csv::Error>> + use<'_> {
    let first = text.lines().next().unwrap_or_default();
    let count = |mark: char| first.matches(mark).count();
    let between = if count(';') > count(',') { b';' } else { b',' };
    let mut reader = ReaderBuilder::new();
    let reader = reader.has_headers(false).flexible(true).delimiter(between);
    let cells = |row: StringRecord| row.iter().map(unguarded).collect();
    reader.from_reader(text.as_bytes()).into_records().map(move |row| row.map(cells))
}

/// Whether a spreadsheet may run a cell.
fn runs(cell: &str) -> bool {
    cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠'])
}

/// A cell without the apostrophe that kept it from being run.
fn unguarded(cell: &str) -> String {
    cell.strip_prefix('\'').filter(|cell| runs(cell)).unwrap_or(cell).to_owned()
}

/// A cell that no spreadsheet runs.
fn guarded(cell: &str) -> String {
    let digits = cell.strip_prefix('-').unwrap_or(cell);
    let is_number = digits.starts_with(|c: char| c.is_ascii_digit())
        && digits.chars().all(|c| c.is_ascii_digit() || c == '.');
    if runs(cell) && !is_number { format!("'{cell}") } else { cell.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_with_a_comma_or_a_quote_is_quoted() {
        // Source: RFC 4180, section 2, rules 1 and 5 to 7.
        let row = |cell: &str| table(&["a", "b"], [vec!["x".to_owned(), cell.to_owned()]]);
        assert_eq!(row("plain"), "a,b\r\nx,plain\r\n");
        assert_eq!(row("12\" tin, dented"), "a,b\r\nx,\"12\"\" tin, dented\"\r\n");
    }

    #[test]
    fn what_a_spreadsheet_would_run_is_text_and_a_number_stays_one() {
        for (cell, guarded_cell) in [
            ("=1+1", "'=1+1"),
            ("@sum", "'@sum"),
            ("+31 20", "'+31 20"),
            ("-2+3", "'-2+3"),
            ("-6.38", "-6.38"),
            ("\t=1", "'\t=1"),
            ("＝1+1", "'＝1+1"),
            ("a=1", "a=1"),
            ("-", "'-"),
        ] {
            assert_eq!(guarded(cell), guarded_cell);
            assert_eq!(unguarded(guarded_cell), cell);
        }
    }

    #[test]
    fn what_is_written_is_read_again_with_either_mark_between() {
        let cells = vec!["a;b".to_owned(), "c, \"d\"".to_owned(), "=1".to_owned()];
        let text = table(&["x", "y", "z"], [cells.clone()]);
        let read: Vec<_> = rows(&text).collect::<Result<_, _>>().expect("readable");
        assert_eq!(read, [vec!["x".to_owned(), "y".to_owned(), "z".to_owned()], cells]);
        let read: Vec<_> = rows("x;y\n1,5;2\n").collect::<Result<_, _>>().expect("readable");
        assert_eq!(read[1], ["1,5", "2"]);
    }
}
