//! Whether whoever was written against one OpenAPI document can live with another.
//!
//! What is sent may become more, never less: a field, a word, an operation that was taken is
//! taken still, and nothing new is demanded. What is answered may become more too: nothing
//! that was always there goes, and nothing changes its type.

use serde_json::{Map, Value};
use std::collections::BTreeSet;

/// Which way a value goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Way {
    /// From the client to us.
    Sent,
    /// From us to the client.
    Answered,
}

/// Two documents side by side, and what was found.
struct Comparison<'a> {
    old: &'a Value,
    new: &'a Value,
    /// Pairs of named shapes that were compared, so that a shape inside itself ends.
    compared: BTreeSet<(Way, String, String)>,
    breaks: Vec<String>,
}

/// Everything in which the new document breaks what the old one promised; empty if nothing.
#[must_use]
pub fn breaks(old: &Value, new: &Value) -> Vec<String> {
    let mut comparison = Comparison { old, new, compared: BTreeSet::new(), breaks: Vec::new() };
    comparison.documents();
    comparison.breaks
}

/// The value at a JSON Pointer, or nothing.
fn at<'a>(value: &'a Value, pointer: &str) -> &'a Value {
    value.pointer(pointer).unwrap_or(&Value::Null)
}

fn members(value: &Value) -> impl Iterator<Item = (&String, &Value)> {
    value.as_object().into_iter().flat_map(Map::iter)
}

fn elements(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

fn words(value: &Value) -> BTreeSet<String> {
    elements(value)
        .map(|word| word.as_str().map_or_else(|| word.to_string(), str::to_owned))
        .collect()
}

/// The types that a shape names: one, several, or none said.
fn types(shape: &Value) -> BTreeSet<String> {
    match &shape["type"] {
        Value::String(word) => BTreeSet::from([word.clone()]),
        several => words(several),
    }
}

/// Whether a shape only says "or nothing".
fn is_null(shape: &Value) -> bool {
    types(shape) == BTreeSet::from(["null".to_owned()])
}

impl<'a> Comparison<'a> {
    fn found(&mut self, place: &str, what: impl AsRef<str>) {
        self.breaks.push(format!("{place}: {}", what.as_ref()));
    }

    fn documents(&mut self) {
        let (old, new) = (self.old, self.new);
        for (path, item) in members(&old["paths"]) {
            for (method, operation) in members(item) {
                let place = format!("{} {path}", method.to_uppercase());
                match new["paths"].get(path).and_then(|item| item.get(method)) {
                    Some(found) => self.operations(&place, operation, found),
                    None => self.found(&place, "the operation is gone"),
                }
            }
        }
    }

    fn operations(&mut self, place: &str, old: &'a Value, new: &'a Value) {
        if old["operationId"] != new["operationId"] {
            self.found(place, "it has another operationId");
        }
        self.parameters(place, &old["parameters"], &new["parameters"]);
        let (before, after) = (&old["requestBody"], &new["requestBody"]);
        if before.is_null() && after["required"] == true {
            self.found(place, "it demands a body");
        }
        self.contents(&format!("{place} body"), before, after, Way::Sent);
        for (status, answer) in members(&old["responses"]) {
            let place = format!("{place} {status}");
            match new["responses"].get(status) {
                Some(found) => self.contents(&place, answer, found, Way::Answered),
                None => self.found(&place, "the answer is gone"),
            }
        }
    }

    fn parameters(&mut self, place: &str, old: &'a Value, new: &'a Value) {
        let name = |parameter: &Value| {
            format!("{} `{}`", parameter["in"].as_str().unwrap_or_default(), parameter["name"])
        };
        for parameter in elements(old) {
            let name_of = name(parameter);
            let place = format!("{place} {name_of}");
            match elements(new).find(|found| name(found) == name_of) {
                None => self.found(&place, "the parameter is gone"),
                Some(found) => {
                    if found["required"] == true && parameter["required"] != true {
                        self.found(&place, "it is demanded now");
                    }
                    self.shapes(&place, &parameter["schema"], &found["schema"], Way::Sent);
                }
            }
        }
        for parameter in elements(new).filter(|found| found["required"] == true) {
            let name_of = name(parameter);
            if !elements(old).any(|known| name(known) == name_of) {
                self.found(&format!("{place} {name_of}"), "a new parameter is demanded");
            }
        }
    }

    fn contents(&mut self, place: &str, old: &'a Value, new: &'a Value, way: Way) {
        for (media, content) in members(&old["content"]) {
            match new["content"].get(media) {
                None => self.found(place, format!("{media} is gone")),
                Some(found) => self.shapes(place, &content["schema"], &found["schema"], way),
            }
        }
    }

    /// A shape, or the named one that it points to; false if the pair was compared before.
    fn named(
        &mut self,
        old: &'a Value,
        new: &'a Value,
        way: Way,
    ) -> Option<(&'a Value, &'a Value)> {
        let name = |shape: &Value| shape["$ref"].as_str().map(str::to_owned);
        let resolve = |document: &'a Value, shape: &'a Value| match shape["$ref"].as_str() {
            Some(name) => at(document, name.trim_start_matches('#')),
            None => shape,
        };
        if let (Some(before), Some(after)) = (name(old), name(new))
            && !self.compared.insert((way, before, after))
        {
            return None;
        }
        Some((resolve(self.old, old), resolve(self.new, new)))
    }

    fn shapes(&mut self, place: &str, old: &'a Value, new: &'a Value, way: Way) {
        let Some((old, new)) = self.named(old, new, way) else { return };
        let (before, after) = (types(old), types(new));
        let fits = match way {
            // Nothing said takes everything.
            Way::Sent => after.is_empty() || (!before.is_empty() && before.is_subset(&after)),
            Way::Answered => before.is_empty() || (!after.is_empty() && after.is_subset(&before)),
        };
        if !fits {
            self.found(place, format!("its type was {before:?} and is {after:?}"));
        }
        self.words(place, old, new, way);
        self.fields(place, old, new, way);
        if !old["items"].is_null() {
            self.shapes(&format!("{place}[]"), &old["items"], &new["items"], way);
        }
        if old["additionalProperties"].is_object() {
            let (before, after) = (&old["additionalProperties"], &new["additionalProperties"]);
            self.shapes(&format!("{place}{{}}"), before, after, way);
        }
        for several in ["oneOf", "anyOf", "allOf"] {
            self.several(place, several, (&old[several], &new[several]), way);
        }
    }

    fn words(&mut self, place: &str, old: &'a Value, new: &'a Value, way: Way) {
        let (before, after) = (words(&old["enum"]), words(&new["enum"]));
        if before.is_empty() && !after.is_empty() && way == Way::Sent {
            self.found(place, "only some words are taken now");
        }
        if !after.is_empty() {
            for word in before.difference(&after) {
                self.found(place, format!("the word `{word}` is gone"));
            }
        }
    }

    fn fields(&mut self, place: &str, old: &'a Value, new: &'a Value, way: Way) {
        for (name, field) in members(&old["properties"]) {
            let place = format!("{place}.{name}");
            match new["properties"].get(name) {
                Some(found) => self.shapes(&place, field, found, way),
                None => self.found(&place, "the field is gone"),
            }
        }
        let (before, after) = (words(&old["required"]), words(&new["required"]));
        match way {
            Way::Sent => {
                for name in after.difference(&before) {
                    self.found(&format!("{place}.{name}"), "the field is demanded now");
                }
            }
            Way::Answered => {
                for name in before.difference(&after) {
                    self.found(&format!("{place}.{name}"), "the field is not always there now");
                }
            }
        }
    }

    /// Shapes of which one, any or all hold: each of the old has one that fits it.
    fn several(&mut self, place: &str, key: &str, (old, new): (&'a Value, &'a Value), way: Way) {
        for (number, shape) in elements(old).enumerate() {
            let place = format!("{place} {key} {number}");
            let mut least: Option<Vec<String>> = None;
            let same = |other: &&Value| is_null(shape) == is_null(other);
            for other in elements(new).filter(same) {
                let mut aside = Comparison {
                    old: self.old,
                    new: self.new,
                    compared: self.compared.clone(),
                    breaks: Vec::new(),
                };
                aside.shapes(&place, shape, other, way);
                if least.as_ref().is_none_or(|least| aside.breaks.len() < least.len()) {
                    least = Some(aside.breaks);
                }
            }
            match least {
                Some(found) => self.breaks.extend(found),
                None => self.found(&place, "the variant is gone"),
            }
        }
    }
}
