//! A page of a list as a table for a spreadsheet.

use crate::wire::csv;
use serde_json::{Map, Value};

/// Rows as separated values: a value inside a record is a column with dots (`quantity.amount`),
/// several texts stand in one cell, what is deeper stands in its cell as JSON; of
/// no rows there is no head.
#[must_use]
pub fn table(rows: &[Value]) -> String {
    let cells: Vec<Map<String, Value>> = rows.iter().map(flat).collect();
    let mut heads: Vec<&str> = Vec::new();
    for head in cells.iter().flat_map(Map::keys) {
        if !heads.contains(&head.as_str()) {
            heads.push(head);
        }
    }
    if heads.is_empty() {
        return String::new();
    }
    let row =
        |cells: &Map<String, Value>| heads.iter().map(|head| text(cells.get(*head))).collect();
    csv::table(&heads, cells.iter().map(row))
}

/// A row as its cells by head.
fn flat(row: &Value) -> Map<String, Value> {
    let mut cells = Map::new();
    fill(&mut cells, "", row);
    cells
}

fn fill(cells: &mut Map<String, Value>, head: &str, value: &Value) {
    match value {
        Value::Object(record) if !record.is_empty() => {
            for (name, value) in record {
                let head = if head.is_empty() { name.clone() } else { format!("{head}.{name}") };
                fill(cells, &head, value);
            }
        }
        value => {
            let head = if head.is_empty() { "value" } else { head };
            cells.insert(head.to_owned(), value.clone());
        }
    }
}

fn text(cell: Option<&Value>) -> String {
    match cell {
        None | Some(Value::Null) => String::new(),
        Some(Value::String(text)) => text.clone(),
        Some(Value::Array(list)) if list.iter().all(|one| !one.is_object() && !one.is_array()) => {
            let texts: Vec<String> = list.iter().map(|one| text(Some(one))).collect();
            texts.join("; ")
        }
        Some(other) => other.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn records_in_records_are_columns_and_rows_may_lack_some() {
        let rows = [
            json!({"code": "rye", "left": {"amount": "592", "unit": "g"}, "contains": ["rye", "gluten"]}),
            json!({"code": "=1", "note": "a, b", "parts": [{"n": 1}], "free": true, "gone": null}),
        ];
        assert_eq!(
            table(&rows),
            "code,left.amount,left.unit,contains,note,parts,free,gone\r\n\
             rye,592,g,rye; gluten,,,,\r\n\
             '=1,,,,\"a, b\",\"[{\"\"n\"\":1}]\",true,\r\n"
        );
        assert_eq!(table(&[]), "");
    }
}
