//! Counting what was compared, what differed and what was left for later.

use num_rational::BigRational;
use serde_json::Value;
use std::{collections::BTreeMap, fmt};
use weighhouse_tests::{exact, row};

/// Differences shown in full for each pair.
const SHOWN_MAX: usize = 20;

#[derive(Debug, Default)]
struct Count {
    compared: usize,
    different: usize,
}

/// The outcome of one pair, section by section.
#[derive(Debug, Default)]
pub struct Tally {
    sections: BTreeMap<&'static str, Count>,
    not_due: BTreeMap<String, usize>,
    remarks: Vec<String>,
    differences: Vec<String>,
    faults: Vec<String>,
}

impl Tally {
    /// Something that stops a pair from being compared at all, or a part of it.
    pub fn fault(&mut self, what: String) {
        self.faults.push(what);
    }

    /// Something a reader of the report should know.
    pub fn remark(&mut self, what: String) {
        self.remarks.push(what);
    }

    /// Counts the figures of a section that is not compared yet.
    pub fn not_due(&mut self, section: &str, expected: &Value) {
        let figures = figures(expected);
        if figures > 0 {
            *self.not_due.entry(section.to_owned()).or_default() += figures;
        }
    }

    /// Counts an input that no call takes yet.
    pub fn not_sent(&mut self, what: &str, count: usize) {
        *self.not_due.entry(format!("input: {what}")).or_default() += count;
    }

    /// Whether anything differed or could not be compared.
    #[must_use]
    pub fn failed(&self) -> bool {
        !self.faults.is_empty() || self.sections.values().any(|count| count.different > 0)
    }

    /// Figures compared, different, and left for later.
    #[must_use]
    pub fn totals(&self) -> [usize; 3] {
        let compared = self.sections.values().map(|count| count.compared).sum();
        let different = self.sections.values().map(|count| count.different).sum();
        [compared, different, self.not_due.values().sum()]
    }

    /// Counts one figure.
    pub fn figure(
        &mut self,
        section: &'static str,
        same: bool,
        difference: impl FnOnce() -> String,
    ) {
        let count = self.sections.entry(section).or_default();
        count.compared += 1;
        if !same {
            count.different += 1;
            self.differences.push(format!("{section}: {}", difference()));
        }
    }

    /// Compares words, codes and flags literally.
    pub fn same(&mut self, section: &'static str, place: &str, expected: &Value, found: &Value) {
        self.figure(section, expected == found, || {
            format!("{place}: expected {expected}, found {found}")
        });
    }

    /// Compares a number: one with a fraction within a millionth, a plain one exactly.
    pub fn number(&mut self, section: &'static str, place: &str, expected: &Value, found: &Value) {
        let read =
            row::number(expected, place).and_then(|number| Ok((number, amount(found, place)?)));
        let same = match &read {
            Ok((wanted, got)) if expected.is_object() => exact::within_a_millionth(wanted, got),
            Ok((wanted, got)) => wanted == got,
            Err(_) => false,
        };
        self.figure(section, same, || {
            let shown = expected.get("dec").unwrap_or(expected);
            format!("{place}: expected {shown}, found {found}")
        });
    }

    /// Compares two instants: the moment and the offset as written.
    pub fn instant(&mut self, section: &'static str, place: &str, expected: &Value, found: &Value) {
        let same = match (expected.as_str(), found.as_str()) {
            (Some(wanted), Some(got)) => {
                instant(wanted).is_some_and(|one| instant(got) == Some(one))
            }
            _ => expected == found,
        };
        self.figure(section, same, || format!("{place}: expected {expected}, found {found}"));
    }

    /// Notes a row that only one side has.
    pub fn missing(&mut self, section: &'static str, place: &str, side: &str) {
        self.figure(section, false, || format!("{place}: only {side}"));
    }
}

/// A moment and its offset as text.
fn instant(text: &str) -> Option<(jiff::Timestamp, String)> {
    let moment = text.parse().ok()?;
    let from = if text.ends_with('Z') { text.len() - 1 } else { text.len().checked_sub(6)? };
    Some((moment, text.get(from..)?.to_owned()))
}

/// A number of an answer in base units: a quantity object, a decimal text or a number.
pub fn amount(value: &Value, place: &str) -> anyhow::Result<BigRational> {
    let Some(quantity) = value.get("amount") else { return row::number(value, place) };
    let factor = match value.get("unit").and_then(Value::as_str) {
        Some("kg" | "L") => exact::whole(1000),
        Some("mg") => exact::parse("1/1000")?,
        Some("g" | "mL" | "each" | "batch") => exact::whole(1),
        other => anyhow::bail!("{place}: the unit {other:?} is none of the wire's"),
    };
    Ok(row::number(quantity, place)? * factor)
}

/// The figures in a part of an expected file; a number with its fraction is one.
fn figures(value: &Value) -> usize {
    match value {
        Value::Null => 0,
        Value::Array(elements) => elements.iter().map(figures).sum(),
        Value::Object(map) if map.contains_key("frac") => 1,
        Value::Object(map) => map.values().map(figures).sum(),
        _ => 1,
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (section, Count { compared, different }) in &self.sections {
            writeln!(f, "  {section}: {compared} compared, {different} different")?;
        }
        for (section, figures) in &self.not_due {
            writeln!(f, "  {section}: not due yet: {figures} figures skipped")?;
        }
        for remark in &self.remarks {
            writeln!(f, "  remark: {remark}")?;
        }
        for fault in &self.faults {
            writeln!(f, "  FAULT: {fault}")?;
        }
        for difference in self.differences.iter().take(SHOWN_MAX) {
            writeln!(f, "  DIFFERS: {difference}")?;
        }
        let more = self.differences.len().saturating_sub(SHOWN_MAX);
        if more > 0 {
            writeln!(f, "  and {more} more")?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_wrong_last_digit_is_a_difference() {
        let mut tally = Tally::default();
        let third = json!({"dec": "0.333333", "frac": "1/3"});
        tally.number("batches", "gross", &third, &json!({"amount": "0.333333", "unit": "g"}));
        tally.number("batches", "weigh", &json!("5160"), &json!({"amount": "5.16", "unit": "kg"}));
        tally.instant(
            "batches",
            "made",
            &json!("2026-06-10T10:00:00+02:00"),
            &json!("2026-06-10T10:00:00+02:00"),
        );
        assert!(!tally.failed());
        tally.number("batches", "gross", &third, &json!({"amount": "0.333331", "unit": "g"}));
        tally.number(
            "batches",
            "weigh",
            &json!("5160"),
            &json!({"amount": "5160.000001", "unit": "g"}),
        );
        tally.instant(
            "batches",
            "made",
            &json!("2026-06-10T10:00:00+02:00"),
            &json!("2026-06-10T08:00:00Z"),
        );
        tally.number("batches", "weigh", &json!("5160"), &json!(null));
        assert!(tally.failed());
        assert!(tally.to_string().contains("batches: 7 compared, 4 different"), "{tally}");
    }

    #[test]
    fn what_is_skipped_is_counted() {
        let mut tally = Tally::default();
        tally.not_due("recalls", &json!([{"lot": "a", "share": {"dec": "1", "frac": "1/1"}}]));
        assert!(!tally.failed());
        assert!(tally.to_string().contains("recalls: not due yet: 2 figures skipped"), "{tally}");
    }
}
