//! What one cell holds: a value of the document as people type it, and back.

use serde_json::{Value, json};

/// What the cells of a column hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cell {
    /// A text; decimals, dates and times are texts too.
    Text,
    /// A whole number.
    Integer,
    /// `yes` or `no`.
    Flag,
    /// An amount with its unit: `25 kg`.
    Quantity,
    /// A sum with its currency: `21.25 EUR`.
    Money,
    /// Several texts with semicolons between them.
    Texts,
}

impl Cell {
    /// What cells of a schema hold; none if the schema is a record or a list of records.
    pub(super) fn of<'a>(
        schema: &'a Value,
        resolved: impl Fn(&'a Value) -> &'a Value,
    ) -> Option<Self> {
        let is = |schema: &Value, name: &str| match schema.get("type") {
            Some(Value::String(kind)) => kind == name,
            Some(Value::Array(kinds)) => kinds.iter().any(|kind| kind == name),
            _ => false,
        };
        let has = |name: &str| schema.pointer(&format!("/properties/{name}")).is_some();
        if is(schema, "array") {
            let item = resolved(schema.get("items")?);
            return is(item, "string").then_some(Self::Texts);
        }
        match () {
            () if is(schema, "string") => Some(Self::Text),
            () if is(schema, "integer") => Some(Self::Integer),
            () if is(schema, "boolean") => Some(Self::Flag),
            () if has("amount") && has("unit") => Some(Self::Quantity),
            () if has("minor_units") && has("currency") => Some(Self::Money),
            () => None,
        }
    }

    /// A value as its cell; empty if there is none.
    #[must_use]
    pub fn write(self, value: Option<&Value>) -> String {
        let Some(value) = value else { return String::new() };
        let text = |name: &str| value.get(name).and_then(Value::as_str).unwrap_or_default();
        match self {
            Self::Text => value.as_str().unwrap_or_default().to_owned(),
            Self::Integer => value.as_i64().map(|number| number.to_string()).unwrap_or_default(),
            Self::Flag => match value.as_bool() {
                Some(true) => YES.to_owned(),
                Some(false) => NO.to_owned(),
                None => String::new(),
            },
            Self::Quantity => format!("{} {}", text("amount"), text("unit")),
            Self::Money => {
                let minor = value.get("minor_units").and_then(Value::as_i64).unwrap_or_default();
                format!("{} {}", crate::wire::amount::money_text(minor), text("currency"))
            }
            Self::Texts => {
                let texts = value.as_array().into_iter().flatten().filter_map(Value::as_str);
                let escaped = texts.map(|text| text.replace('\\', "\\\\").replace(';', "\\;"));
                escaped.collect::<Vec<_>>().join("; ")
            }
        }
    }

    /// A cell that is not empty as its value.
    ///
    /// # Errors
    /// What should stand there, in words.
    pub fn read(self, cell: &str) -> Result<Value, &'static str> {
        match self {
            Self::Text => Ok(json!(cell)),
            Self::Integer => {
                let number: Result<i64, _> = cell.parse();
                number.map(|number| json!(number)).map_err(|_| "write a whole number, such as 12")
            }
            Self::Flag => match cell.to_ascii_lowercase().as_str() {
                YES | "true" | "1" => Ok(json!(true)),
                NO | "false" | "0" => Ok(json!(false)),
                _ => Err("write yes or no"),
            },
            Self::Quantity => {
                let (amount, unit) = two_parts(cell).ok_or(NO_QUANTITY)?;
                Ok(json!({"amount": amount, "unit": unit}))
            }
            Self::Money => {
                let (sum, currency) = two_parts(cell).ok_or(NO_MONEY)?;
                let minor = minor_units(sum).ok_or(NO_MONEY)?;
                Ok(json!({"minor_units": minor, "currency": currency}))
            }
            Self::Texts => Ok(json!(split(cell))),
        }
    }
}

pub(super) const YES: &str = "yes";
pub(super) const NO: &str = "no";
const NO_QUANTITY: &str = "write an amount and its unit with a space between them, such as 25 kg";
const NO_MONEY: &str =
    "write a sum with two decimals and its currency with a space between them, such as 21.25 EUR";

fn two_parts(cell: &str) -> Option<(&str, &str)> {
    let (first, second) = cell.split_once(' ')?;
    let second = second.trim();
    (!second.is_empty() && !second.contains(' ')).then_some((first, second))
}

/// `21.25` as 2125: with no decimals or with two.
fn minor_units(sum: &str) -> Option<i64> {
    let (sign, digits) = sum.strip_prefix('-').map_or((1, sum), |digits| (-1, digits));
    let (whole, cents) = digits.split_once('.').unwrap_or((digits, "00"));
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if !is_number(whole) || !is_number(cents) || cents.len() != 2 {
        return None;
    }
    let whole: i64 = whole.parse().ok()?;
    let minor = whole.checked_mul(100)?.checked_add(cents.parse().ok()?)?;
    Some(sign * minor)
}

/// The texts between semicolons that no backslash protects.
fn split(cell: &str) -> Vec<String> {
    let mut texts = vec![String::new()];
    let mut letters = cell.chars();
    while let Some(letter) = letters.next() {
        let plain = match letter {
            ';' => {
                texts.push(String::new());
                continue;
            }
            '\\' => letters.next().unwrap_or('\\'),
            other => other,
        };
        if let Some(last) = texts.last_mut() {
            last.push(plain);
        }
    }
    let trimmed = texts.iter().map(|text| text.trim().to_owned());
    trimmed.filter(|text| !text.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_again() {
        for (cell, value) in [
            (Cell::Text, json!("2026-06-12")),
            (Cell::Integer, json!(-3)),
            (Cell::Flag, json!(false)),
            (Cell::Quantity, json!({"amount": "0.04", "unit": "kg"})),
            (Cell::Money, json!({"minor_units": -5, "currency": "EUR"})),
            (Cell::Money, json!({"minor_units": 312_500, "currency": "EUR"})),
            (Cell::Texts, json!(["soya", "eggs; whole", "a\\b"])),
        ] {
            let text = cell.write(Some(&value));
            assert_eq!(cell.read(&text), Ok(value), "{text}");
        }
        assert_eq!(Cell::Text.write(None), "");
    }

    #[test]
    fn what_cannot_be_read_says_what_should_stand_there() {
        for (cell, text) in [
            (Cell::Integer, "1.5"),
            (Cell::Flag, "maybe"),
            (Cell::Quantity, "25kg"),
            (Cell::Quantity, "25 k g"),
            (Cell::Money, "21.255 EUR"),
            (Cell::Money, "21,25 EUR"),
            (Cell::Money, "99999999999999999999 EUR"),
        ] {
            assert!(cell.read(text).is_err(), "{text}");
        }
    }
}
