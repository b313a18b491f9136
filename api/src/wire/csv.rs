//! Comma-separated values: quoted where they must be, and never a formula for a spreadsheet.

/// A table with its head.
#[must_use]
pub fn table(head: &[&str], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut text = head.join(",") + "\r\n";
    for row in rows {
        let cells: Vec<String> = row.iter().map(|cell| guarded(cell)).collect();
        text += &cells.join(",");
        text += "\r\n";
    }
    text
}

/// A cell in quotes if it needs them; words that a spreadsheet would run get an apostrophe.
///
/// # Source
/// RFC 4180, section 2, rules 5 to 7; cells that begin with `=`, `+`, `-` or `@` are run by
/// spreadsheets (common practice); a plain number below zero is no such cell.
fn guarded(cell: &str) -> String {
    let number = |text: &str| {
        !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.')
    };
    let runs = cell.starts_with(['=', '+', '-', '@', '\t', '\r'])
        && !cell.strip_prefix('-').is_some_and(number);
    let cell = if runs { format!("'{cell}") } else { cell.to_owned() };
    if cell.contains([',', '"', '\r', '\n']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_with_a_comma_or_a_quote_is_quoted() {
        // Source: RFC 4180, section 2, rules 5 to 7.
        assert_eq!(guarded("plain"), "plain");
        assert_eq!(guarded("12\" tin, dented"), "\"12\"\" tin, dented\"");
    }

    #[test]
    fn a_spreadsheet_runs_no_cell() {
        assert_eq!(guarded("=1+1"), "'=1+1");
        assert_eq!(guarded("-2+3"), "'-2+3");
        assert_eq!(guarded("@sum"), "'@sum");
        assert_eq!(guarded("-12.50"), "-12.50");
    }

    #[test]
    fn every_row_ends_with_both_marks() {
        let rows = [vec!["bun".to_owned(), "3".to_owned()]];
        assert_eq!(table(&["product", "pieces"], rows), "product,pieces\r\nbun,3\r\n");
    }
}
