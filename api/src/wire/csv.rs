//! Tables as comma-separated values, safe to open in a spreadsheet.

use csv::{Terminator, WriterBuilder};

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

/// A cell that no spreadsheet runs.
fn guarded(cell: &str) -> String {
    let runs = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠']);
    let digits = cell.strip_prefix('-').unwrap_or(cell);
    let is_number = digits.starts_with(|c: char| c.is_ascii_digit())
        && digits.chars().all(|c| c.is_ascii_digit() || c == '.');
    if runs && !is_number { format!("'{cell}") } else { cell.to_owned() }
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
        }
    }
}
