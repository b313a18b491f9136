//! Reading JSON objects so that no key goes unread.

use anyhow::{Context, Result, bail};
use num_rational::BigRational;
use serde_json::{Map, Value};

/// An object of a document whose every key must be asked for.
///
/// Dropping it unfinished is a mistake: [`Row::finish`] is what notices a key that
/// nobody knows.
#[derive(Debug)]
#[must_use = "a row must be finished, or unknown keys go unnoticed"]
pub struct Row<'a> {
    map: &'a Map<String, Value>,
    asked: Vec<&'static str>,
    place: String,
}

/// Remarks that change no figure.
const REMARKS: [&str; 4] = ["notes", "note", "comment", "text"];

/// Whether a key is a remark that changes no figure.
#[must_use]
pub fn is_remark(key: &str) -> bool {
    REMARKS.contains(&key) || key.starts_with("invented_")
}

impl<'a> Row<'a> {
    /// Starts to read an object; `place` names it in messages.
    ///
    /// # Errors
    /// The value is no object.
    pub fn new(value: &'a Value, place: impl Into<String>) -> Result<Self> {
        let place = place.into();
        let map = value.as_object().with_context(|| format!("{place} is not an object"))?;
        Ok(Self { map, asked: Vec::new(), place })
    }

    /// Where the object stands.
    #[must_use]
    pub fn place(&self) -> &str {
        &self.place
    }

    /// The value of a key; `null` counts as absent.
    pub fn get(&mut self, key: &'static str) -> Option<&'a Value> {
        self.asked.push(key);
        self.map.get(key).filter(|value| !value.is_null())
    }

    /// The first of several spellings of one key.
    pub fn any(&mut self, keys: &[&'static str]) -> Option<&'a Value> {
        let mut found = None;
        for key in keys {
            let value = self.get(key);
            found = found.or(value);
        }
        found
    }

    /// The value of a key that must be there.
    ///
    /// # Errors
    /// It is not.
    pub fn need(&mut self, key: &'static str) -> Result<&'a Value> {
        let value = self.get(key);
        value.with_context(|| format!("{} has no `{key}`", self.place))
    }

    /// A text, if it is there.
    ///
    /// # Errors
    /// It is something else.
    pub fn text(&mut self, key: &'static str) -> Result<Option<&'a str>> {
        match self.get(key) {
            None => Ok(None),
            Some(Value::String(text)) => Ok(Some(text)),
            Some(other) => bail!("{} `{key}` is not a text: {other}", self.place),
        }
    }

    /// A text that must be there.
    ///
    /// # Errors
    /// It is not, or it is something else.
    pub fn need_text(&mut self, key: &'static str) -> Result<&'a str> {
        let text = self.text(key)?;
        text.with_context(|| format!("{} has no `{key}`", self.place))
    }

    /// A yes or no, if it is there.
    ///
    /// # Errors
    /// It is something else.
    pub fn flag(&mut self, key: &'static str) -> Result<Option<bool>> {
        match self.get(key) {
            None => Ok(None),
            Some(Value::Bool(flag)) => Ok(Some(*flag)),
            Some(other) => bail!("{} `{key}` is not true or false: {other}", self.place),
        }
    }

    /// A whole number, if it is there.
    ///
    /// # Errors
    /// It is something else.
    pub fn whole(&mut self, key: &'static str) -> Result<Option<i64>> {
        match self.get(key) {
            None => Ok(None),
            Some(value) => {
                let number = value.as_i64().or_else(|| value.as_str()?.parse().ok());
                let wrong = || format!("{} `{key}` is not a whole number: {value}", self.place);
                Ok(Some(number.with_context(wrong)?))
            }
        }
    }

    /// An exact number, written as text or as a JSON number.
    ///
    /// # Errors
    /// It is something else.
    pub fn number(&mut self, key: &'static str) -> Result<Option<BigRational>> {
        self.get(key).map(|value| number(value, &format!("{} `{key}`", self.place))).transpose()
    }

    /// The elements of a list; none if it is absent.
    ///
    /// # Errors
    /// It is no list.
    pub fn list(&mut self, key: &'static str) -> Result<&'a [Value]> {
        match self.get(key) {
            None => Ok(&[]),
            Some(Value::Array(elements)) => Ok(elements),
            Some(other) => bail!("{} `{key}` is not a list: {other}", self.place),
        }
    }

    /// The entries of an object used as a table; none if it is absent.
    ///
    /// # Errors
    /// It is no object.
    pub fn table(&mut self, key: &'static str) -> Result<Vec<(&'a str, &'a Value)>> {
        match self.get(key) {
            None => Ok(Vec::new()),
            Some(Value::Object(map)) => {
                Ok(map.iter().map(|(key, value)| (key.as_str(), value)).collect())
            }
            Some(other) => bail!("{} `{key}` is not an object: {other}", self.place),
        }
    }

    /// Ends the reading.
    ///
    /// # Errors
    /// Names every key that was never asked for.
    pub fn finish(self) -> Result<()> {
        let unknown: Vec<&str> = self
            .map
            .keys()
            .map(String::as_str)
            .filter(|key| !self.asked.contains(key) && !is_remark(key))
            .collect();
        if unknown.is_empty() {
            return Ok(());
        }
        bail!("{} has a key that nobody reads: {}", self.place, unknown.join(", "))
    }
}

/// An exact number out of a JSON number, a decimal text, or `{dec, frac}`.
///
/// # Errors
/// Names the place that holds something else.
pub fn number(value: &Value, place: &str) -> Result<BigRational> {
    let text = match value {
        Value::String(text) => text.clone(),
        Value::Number(number) => number.to_string(),
        Value::Object(map) => map
            .get("frac")
            .and_then(Value::as_str)
            .with_context(|| format!("{place} is an object without `frac`"))?
            .to_owned(),
        other => bail!("{place} is not a number: {other}"),
    };
    crate::exact::parse(&text).with_context(|| place.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_key_that_nobody_reads_is_named() {
        let value = json!({"id": "rye", "colour": "brown", "invented_for_the_model": true});
        let mut row = Row::new(&value, "ingredient").expect("an object");
        assert_eq!(row.need_text("id").expect("a text"), "rye");
        let failure = row.finish().expect_err("colour is unknown").to_string();
        assert_eq!(failure, "ingredient has a key that nobody reads: colour");
    }

    #[test]
    fn numbers_are_exact_whatever_their_dress() {
        let place = "here";
        for dress in [json!("2.5"), json!(2.5), json!("5/2"), json!({"dec": "2.5", "frac": "5/2"})]
        {
            let read = number(&dress, place).expect("a number");
            assert_eq!(read, crate::exact::parse("2.5").expect("a number"));
        }
        assert!(number(&json!(true), place).is_err());
    }
}
