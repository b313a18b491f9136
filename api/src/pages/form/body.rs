//! Fields by name → the JSON of a body.

use serde_json::{Map, Number, Value};
use std::collections::{BTreeMap, BTreeSet};

/// Most rows of one list that a form may have.
pub(super) const ROWS_MAX: usize = 2000;

/// A name without its ending.
pub(in crate::pages) fn bare(name: &str) -> &str {
    name.split_once(':').map_or(name, |(bare, _)| bare)
}

/// The body that fields make, and for each place in it the bare name of its field.
pub(super) fn of(fields: &[(String, String)]) -> (Value, BTreeMap<String, String>) {
    let fields: Vec<Field<'_>> = fields.iter().filter_map(Field::read).collect();
    let (filled, places) = (filled_rows(&fields), filled_places(&fields));
    let mut numbers: BTreeMap<&str, BTreeMap<usize, usize>> = BTreeMap::new();
    for &(list, row) in &filled {
        let rows = numbers.entry(list).or_default();
        let next = rows.len();
        rows.entry(row).or_insert(next);
    }
    let (mut body, mut names) = (Value::Object(Map::new()), BTreeMap::new());
    for field in &fields {
        let Some(value) = field.value() else { continue };
        if field.is_with() && !places.contains(field.parent()) {
            continue;
        }
        let Some(place) = moved(field.bare, &numbers) else { continue };
        names.insert(place.clone(), field.bare.to_owned());
        let steps: Vec<&str> = place.split('/').collect();
        insert(&mut body, &steps, value);
    }
    (body, names)
}

/// A field that goes into the body.
struct Field<'a> {
    bare: &'a str,
    ending: &'a str,
    text: &'a str,
}

impl<'a> Field<'a> {
    fn read((name, text): &'a (String, String)) -> Option<Self> {
        let (bare, ending) = name.split_once(':').unwrap_or((name, ""));
        let own = !bare.is_empty() && !bare.starts_with('_');
        own.then_some(Self { bare, ending, text: text.trim() })
    }

    fn value(&self) -> Option<Value> {
        if self.text.is_empty() && self.ending != "needed" {
            return None;
        }
        Some(match self.ending {
            "number" | "with-number" => {
                let plain = point(self.text);
                // What is no number goes on as text, so that the service says what it takes.
                plain.parse::<Number>().map_or(Value::String(plain), Value::Number)
            }
            "decimal" => Value::String(point(self.text)),
            "flag" => Value::Bool(true),
            _ => Value::String(self.text.to_owned()),
        })
    }

    /// Whether it says nothing alone.
    fn is_with(&self) -> bool {
        self.ending.starts_with("with")
    }

    /// The place that it stands in; the empty text for the body itself.
    fn parent(&self) -> &'a str {
        self.bare.rsplit_once('/').map_or("", |(parent, _)| parent)
    }

    /// Whether it says something alone, and says it.
    fn counts(&self) -> bool {
        !self.is_with() && !self.text.is_empty()
    }

    /// The rows that the field lies in: list and number, outermost first.
    fn rows(&self) -> impl Iterator<Item = (&'a str, usize)> {
        let bare = self.bare;
        let ends = bare.match_indices('/').map(|(at, _)| at);
        ends.filter_map(move |at| {
            let rest = bare.get(at + 1..)?;
            let row = rest.split('/').next()?.parse().ok().filter(|row| *row < ROWS_MAX)?;
            Some((&bare[..at], row))
        })
    }
}

/// Digits with a decimal comma as digits with a point.
fn point(text: &str) -> String {
    if text.contains('.') { text.to_owned() } else { text.replacen(',', ".", 1) }
}

fn filled_rows<'a>(fields: &[Field<'a>]) -> BTreeSet<(&'a str, usize)> {
    fields.iter().filter(|field| field.counts()).flat_map(Field::rows).collect()
}

/// Every place that a filled field stands in, at whatever depth.
fn filled_places<'a>(fields: &[Field<'a>]) -> BTreeSet<&'a str> {
    let filled = fields.iter().filter(|field| field.counts());
    let places = |field: &Field<'a>| {
        let bare = field.bare;
        bare.match_indices('/').map(move |(at, _)| &bare[..at]).chain([""])
    };
    filled.flat_map(places).collect()
}

/// The place of a field once empty rows are gone; nothing if its own row is.
fn moved(bare: &str, numbers: &BTreeMap<&str, BTreeMap<usize, usize>>) -> Option<String> {
    let (mut place, mut read) = (Vec::new(), String::new());
    for step in bare.split('/') {
        let own = if read.is_empty() { None } else { step.parse::<usize>().ok() };
        match own {
            Some(row) => place.push(numbers.get(read.as_str())?.get(&row)?.to_string()),
            None => place.push(step.to_owned()),
        }
        if !read.is_empty() {
            read.push('/');
        }
        read.push_str(step);
    }
    Some(place.join("/"))
}

fn insert(into: &mut Value, steps: &[&str], value: Value) {
    let Some((first, rest)) = steps.split_first() else {
        *into = value;
        return;
    };
    if let Ok(row) = first.parse::<usize>()
        && (into.is_array() || into.is_null())
    {
        if into.is_null() {
            *into = Value::Array(Vec::new());
        }
        let Some(rows) = into.as_array_mut() else { return };
        while rows.len() <= row {
            rows.push(Value::Null);
        }
        return insert(&mut rows[row], rest, value);
    }
    if into.is_null() {
        *into = Value::Object(Map::new());
    }
    if let Some(object) = into.as_object_mut() {
        insert(object.entry((*first).to_owned()).or_insert(Value::Null), rest, value);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn fields(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
        pairs.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect()
    }

    #[test]
    fn fields_make_a_body_and_empty_rows_are_left_out() {
        let (body, names) = of(&fields(&[
            ("_key", "k"),
            ("customer", " harbour-cafe "),
            ("note", ""),
            ("lines/0/line_ref:with", "1"),
            ("lines/0/product", ""),
            ("lines/0/quantity:number", ""),
            ("lines/3/line_ref:with", "4"),
            ("lines/3/product", "sugar-bun"),
            ("lines/3/quantity:number", "2,5"),
            ("lines/3/amount/unit:with", "g"),
            ("amount/amount:decimal", "1,25"),
            ("amount/unit:with", "g"),
            ("all:flag", "on"),
        ]));
        let expected = json!({
            "customer": "harbour-cafe",
            "lines": [{"line_ref": "4", "product": "sugar-bun", "quantity": 2.5}],
            "amount": {"amount": "1.25", "unit": "g"}, "all": true
        });
        assert_eq!(body, expected);
        assert_eq!(names["lines/0/quantity"], "lines/3/quantity");
    }

    #[test]
    fn names_that_make_no_sense_do_no_harm() {
        for names in [["a", "a/b"], ["a/0", "a/b"], ["a/b", "a/0"], ["/", "//"], ["0", "a//0"]] {
            let (body, _) = of(&fields(&names.map(|name| (name, "x"))));
            assert!(body.is_object(), "{names:?}: {body}");
        }
        let (body, _) = of(&fields(&[("a/99999999/b", "x")]));
        assert_eq!(body, json!({}));
    }
}
