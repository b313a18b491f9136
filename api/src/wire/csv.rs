//! Rows of comma-separated values that no spreadsheet takes for a formula.

/// A row, without the end of its line.
///
/// # Source
/// RFC 4180; OWASP, "CSV Injection": a cell that starts like a formula gets a quote before it.
#[must_use]
pub fn row<T: AsRef<str>>(cells: &[T]) -> String {
    cells.iter().map(|cell| quoted(&guarded(cell.as_ref()))).collect::<Vec<_>>().join(",")
}

fn guarded(cell: &str) -> String {
    let number = cell.strip_prefix('-').unwrap_or(cell);
    let is_number = !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    if !is_number && cell.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

/// A cell in quotes if it needs them.
fn quoted(cell: &str) -> String {
    if cell.contains([',', '"', '\r', '\n']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_never_starts_like_a_formula_and_a_number_stays_a_number() {
        let cells = ["=1+1", "+a", "@sum", "-x", "-3.2", "12", "a,b", "say \"so\"", "\t=1"];
        let printed = "'=1+1,'+a,'@sum,'-x,-3.2,12,\"a,b\",\"say \"\"so\"\"\",'\t=1";
        assert_eq!(row(&cells), printed);
    }
}
