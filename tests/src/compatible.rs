//! What an OpenAPI document promises, a line for each place, and what of it another breaks.
//!
//! What is sent may become more, never less: a field, a word, an operation that was taken is
//! taken still, and nothing new is demanded. What is answered may become more too: nothing
//! that was always there goes, and nothing changes its type.

use serde_json::{Map, Value};
use std::{
    collections::{BTreeMap, BTreeSet},
    fmt,
};

/// Between the parts of a place.
const IN: &str = " > ";
/// The end of the place below which the words of a closed list stand.
const ONE_OF: &str = " > one of";
/// What a shape that names no type takes, and may be.
const TYPES: [&str; 7] = ["array", "boolean", "integer", "null", "number", "object", "string"];

/// What a document promises: by place what holds there. Named shapes are places of their own,
/// one for each way that they go, so that a shape inside itself ends.
///
/// As text it is sorted, a line for each place, such as
/// `sent OrderBody > .drop: must be given, takes string`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Promises(BTreeMap<String, BTreeSet<String>>);

impl Promises {
    /// Reads them off an OpenAPI document.
    #[must_use]
    pub fn of(document: &Value) -> Self {
        let mut reading = Reading { found: BTreeMap::new(), open: Vec::new() };
        for (path, item) in members(&document["paths"]) {
            for (method, operation) in members(item) {
                reading.operation(&format!("{} {path}", method.to_uppercase()), operation);
            }
        }
        while let Some((way, name)) = reading.open.pop() {
            let place = format!("{} {name}", way.word());
            if !reading.found.contains_key(&place) {
                reading.shape(&place, &document["components"]["schemas"][name], way);
            }
        }
        Self(reading.found)
    }

    /// Reads them off their text.
    #[must_use]
    pub fn read(text: &str) -> Self {
        let place = |line: &str| {
            let (place, facts) = line.split_once(": ").unwrap_or((line, ""));
            let facts = facts.split(", ").filter(|fact| !fact.is_empty()).map(str::to_owned);
            (place.to_owned(), facts.collect::<BTreeSet<_>>())
        };
        Self(text.lines().map(place).collect())
    }

    /// Whether what a place stands in is here; the document is around all.
    fn surrounds(&self, place: &str) -> bool {
        place.rsplit_once(IN).is_none_or(|(around, _)| self.0.contains_key(around))
    }
}

impl fmt::Display for Promises {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (place, facts) in &self.0 {
            let facts: Vec<&str> = facts.iter().map(String::as_str).collect();
            let colon = if facts.is_empty() { "" } else { ": " };
            writeln!(f, "{place}{colon}{}", facts.join(", "))?;
        }
        Ok(())
    }
}

/// Everything in which the new promises break the old ones; empty if nothing.
///
/// Of what is gone only the outermost place is named. "May be" and "must" bind whoever is at the
/// other end: they may go and must not come; all else may come and must not go.
#[must_use]
pub fn breaks(old: &Promises, new: &Promises) -> Vec<String> {
    let nothing = BTreeSet::new();
    let mut breaks = Vec::new();
    for (place, before) in &old.0 {
        match new.0.get(place) {
            Some(after) => {
                let lost = before.difference(after).filter(|fact| !may(fact) && !must(fact));
                breaks.extend(lost.map(|fact| format!("{place}: no longer {fact}")));
            }
            // A list that is not closed any more lacks no word.
            None if place.ends_with(ONE_OF) => {}
            None if new.surrounds(place) => breaks.push(format!("{place}: gone")),
            None => {}
        }
    }
    for (place, after) in &new.0 {
        // What is new may be anything, but must not be demanded of whoever did not know it.
        let (before, is_known) = match old.0.get(place) {
            Some(before) => (before, true),
            None if old.surrounds(place) => (&nothing, false),
            None => continue,
        };
        let come = after.difference(before).filter(|fact| must(fact) || is_known && may(fact));
        breaks.extend(come.map(|fact| format!("{place}: now {fact}")));
    }
    breaks
}

fn may(fact: &str) -> bool {
    fact.starts_with("may ")
}

fn must(fact: &str) -> bool {
    fact.starts_with("must ")
}

fn members(value: &Value) -> impl Iterator<Item = (&String, &Value)> {
    value.as_object().into_iter().flat_map(Map::iter)
}

fn elements(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

/// Which way a value goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Way {
    /// From the client to us.
    Sent,
    /// From us to the client.
    Given,
}

impl Way {
    fn word(self) -> &'static str {
        match self {
            Self::Sent => "sent",
            Self::Given => "given",
        }
    }

    /// That a value can be of a type.
    fn of_type(self, name: &str) -> String {
        match self {
            Self::Sent => format!("takes {name}"),
            Self::Given => format!("may be {name}"),
        }
    }

    /// That a field is there each time.
    fn each_time(self) -> &'static str {
        match self {
            Self::Sent => "must be given",
            Self::Given => "always given",
        }
    }
}

/// The types that a shape names.
fn types(shape: &Value) -> Vec<&str> {
    match &shape["type"] {
        Value::String(word) => vec![word.as_str()],
        Value::Array(several) => several.iter().filter_map(Value::as_str).collect(),
        // Its variants name them.
        _ if ["oneOf", "anyOf", "allOf"].iter().any(|key| shape[*key].is_array()) => Vec::new(),
        _ => TYPES.to_vec(),
    }
}

/// What one of several shapes is known by: the fields that it always has, and their words.
fn label(shape: &Value) -> Option<String> {
    let fields = shape["properties"].as_object()?;
    let field = |name: &str| match fields.get(name).map(|field| &field["enum"]) {
        Some(Value::Array(words)) if words.len() == 1 => format!("{name} {}", word(&words[0])),
        _ => name.to_owned(),
    };
    let mut always: Vec<String> =
        elements(&shape["required"]).filter_map(Value::as_str).map(field).collect();
    always.sort();
    Some(always.join(" and "))
}

fn word(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

/// Promises that are being read, and named shapes that are still to be.
struct Reading<'a> {
    found: BTreeMap<String, BTreeSet<String>>,
    open: Vec<(Way, &'a str)>,
}

impl<'a> Reading<'a> {
    fn place(&mut self, place: &str) -> &mut BTreeSet<String> {
        self.found.entry(place.to_owned()).or_default()
    }

    fn operation(&mut self, place: &str, operation: &'a Value) {
        self.place(place).insert(format!("named {}", word(&operation["operationId"])));
        for parameter in elements(&operation["parameters"]) {
            let place =
                format!("{place}{IN}{} {}", word(&parameter["in"]), word(&parameter["name"]));
            self.demand(&place, parameter);
            self.shape(&place, &parameter["schema"], Way::Sent);
        }
        let body = &operation["requestBody"];
        if body.is_object() {
            let place = format!("{place}{IN}body");
            self.demand(&place, body);
            self.contents(&place, body, Way::Sent);
        }
        for (status, answer) in members(&operation["responses"]) {
            self.contents(&format!("{place}{IN}{status}"), answer, Way::Given);
        }
    }

    fn demand(&mut self, place: &str, what: &Value) {
        if what["required"] == true {
            self.place(place).insert(Way::Sent.each_time().to_owned());
        }
    }

    fn contents(&mut self, place: &str, what: &'a Value, way: Way) {
        self.place(place);
        for (media, content) in members(&what["content"]) {
            self.shape(&format!("{place}{IN}{media}"), &content["schema"], way);
        }
    }

    fn shape(&mut self, place: &str, shape: &'a Value, way: Way) {
        self.place(place);
        if let Some(name) = self.named(shape, way) {
            self.place(place).insert(way.of_type(name));
            return;
        }
        self.place(place).extend(types(shape).into_iter().map(|name| way.of_type(name)));
        self.words(place, &shape["enum"], way);
        for (name, field) in members(&shape["properties"]) {
            self.shape(&format!("{place}{IN}.{name}"), field, way);
        }
        for name in elements(&shape["required"]) {
            let place = format!("{place}{IN}.{}", word(name));
            // What is said of a field that is not there is no promise, but it is a demand.
            if way == Way::Sent || self.found.contains_key(&place) {
                self.place(&place).insert(way.each_time().to_owned());
            }
        }
        for (key, part) in [("items", "[]"), ("additionalProperties", "{}")] {
            if shape[key].is_object() {
                self.shape(&format!("{place}{IN}{part}"), &shape[key], way);
            }
        }
        for variant in elements(&shape["oneOf"]).chain(elements(&shape["anyOf"])) {
            match label(variant) {
                Some(label) => self.shape(&format!("{place}{IN}either {label}"), variant, way),
                None => self.shape(place, variant, way),
            }
        }
        for part in elements(&shape["allOf"]) {
            match self.named(part, way) {
                Some(name) => {
                    self.place(place).insert(format!("all of {name}"));
                }
                None => self.shape(place, part, way),
            }
        }
    }

    /// The name of a shape that has one; it will be read.
    fn named(&mut self, shape: &'a Value, way: Way) -> Option<&'a str> {
        let name = shape["$ref"].as_str()?.rsplit('/').next()?;
        self.open.push((way, name));
        Some(name)
    }

    fn words(&mut self, place: &str, words: &Value, way: Way) {
        if !words.is_array() {
            return;
        }
        let place = format!("{place}{ONE_OF}");
        self.place(&place).extend((way == Way::Sent).then(|| "must be one".to_owned()));
        for one in elements(words) {
            self.place(&format!("{place}{IN}{}", word(one)));
        }
    }
}
