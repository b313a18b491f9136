//! Scans: what a code on a pack says, whichever way it is written.
//!
//! # Source
//! GS1 General Specifications, element strings; GS1 Digital Link standard, URI syntax. The
//! table of application identifiers is from memory of the former.

mod date;
mod identifier;
mod link;

pub use date::{NotADate, date_of};
pub use identifier::{Identifier, check_digit};

use crate::ratio::Ratio;
use jiff::civil::Date;

/// Most characters of what one scan says, as an element string.
pub const SCAN_CHARACTERS_MAX: usize = 500;
/// Most characters of a text: brackets and escaped letters of a link make it longer, at most
/// fourfold.
const TEXT_CHARACTERS_MAX: usize = 4 * SCAN_CHARACTERS_MAX;

/// One identifier with its value, as it was scanned.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Element {
    /// Which identifier: two to four digits.
    pub identifier: String,
    /// Its value, unescaped; of the identifier's form.
    pub value: String,
}

/// Why a text is no scan, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScanFault {
    /// The character at which it stands, from 0.
    pub position: usize,
    /// In plain words, with what to do.
    pub detail: String,
}

/// What a code says, in the order in which it says it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Scan {
    elements: Vec<Element>,
}

/// An element and the character at which it starts.
type Placed = (usize, Element);

impl Scan {
    /// Reads a text as a scanner or a hand gives it: an element string, with or without a
    /// symbology identifier; its bracketed form; a Digital Link; a plain number of a pack.
    ///
    /// # Errors
    /// Every [`ScanFault`] that can be told without guessing.
    pub fn read(text: &str) -> Result<Self, Vec<ScanFault>> {
        let fault =
            |position, detail: &str| Err(vec![ScanFault { position, detail: detail.to_owned() }]);
        let long = "a scan is shorter: scan one code at a time";
        let characters: Vec<char> = text.chars().collect();
        if characters.len() > TEXT_CHARACTERS_MAX {
            return fault(TEXT_CHARACTERS_MAX, long);
        }
        let end = characters.iter().rposition(|c| !c.is_ascii_whitespace()).map_or(0, |at| at + 1);
        let start = characters.iter().position(|c| !c.is_ascii_whitespace()).unwrap_or(end);
        let body = &characters[start..end.max(start)];
        if body.is_empty() {
            return fault(0, "nothing was scanned: scan the code again");
        }
        let (symbology, skipped) = symbology(body);
        let (from, body) = (start + skipped, &body[skipped..]);
        let placed = if link::is_link(body) {
            link::read(body, from)
        } else if body.first() == Some(&'(') {
            bracketed(body, from)
        } else if let Some(number) = plain_number(symbology.as_deref(), body) {
            Ok(vec![(from, number)])
        } else {
            string(body, from)
        }?;
        if placed.is_empty() {
            return fault(from, "nothing stands after the mark of its kind: scan the code again");
        }
        let faults = check(&placed);
        if !faults.is_empty() {
            return Err(faults);
        }
        let scan = Self { elements: placed.into_iter().map(|(_, element)| element).collect() };
        if scan.element_string().chars().count() > SCAN_CHARACTERS_MAX {
            return fault(characters.len().min(SCAN_CHARACTERS_MAX), long);
        }
        Ok(scan)
    }

    /// A scan of these elements.
    ///
    /// # Errors
    /// The faults that its element string would have; positions count elements.
    pub fn new(elements: Vec<Element>) -> Result<Self, Vec<ScanFault>> {
        let placed: Vec<Placed> = elements.iter().cloned().enumerate().collect();
        let faults = check(&placed);
        if faults.is_empty() { Ok(Self { elements }) } else { Err(faults) }
    }

    /// What it says, in order.
    #[must_use]
    pub fn elements(&self) -> &[Element] {
        &self.elements
    }

    /// The value of an identifier.
    #[must_use]
    pub fn value(&self, identifier: &str) -> Option<&str> {
        let found = self.elements.iter().find(|element| element.identifier == identifier);
        found.map(|element| element.value.as_str())
    }

    /// The number of the pack, or of what is in a logistic unit: 14 digits.
    #[must_use]
    pub fn gtin(&self) -> Option<&str> {
        self.value("01").or_else(|| self.value("02"))
    }

    /// The lot.
    #[must_use]
    pub fn lot(&self) -> Option<&str> {
        self.value("10")
    }

    /// The number of the logistic unit: 18 digits.
    #[must_use]
    pub fn sscc(&self) -> Option<&str> {
        self.value("00")
    }

    /// A date by its identifier, read on a day: `11` production, `13` packaging, `15` best
    /// before, `17` use by.
    #[must_use]
    pub fn date(&self, identifier: &str, today: Date) -> Option<Date> {
        self.value(identifier).and_then(|text| date_of(text, today).ok())
    }

    /// The net weight in micrograms: 310n, kilograms with n decimals.
    #[must_use]
    pub fn net_weight_ug(&self) -> Option<Ratio> {
        let element = self.elements.iter().find(|element| {
            element.identifier.len() == 4 && element.identifier.starts_with("310")
        })?;
        let decimals: u32 = element.identifier[3..].parse().ok()?;
        let digits: i128 = element.value.parse().ok()?;
        let kilogram = Ratio::whole(1_000_000_000);
        let exact = Ratio::new(digits, 10_i128.checked_pow(decimals)?).ok()?;
        exact.times(kilogram).ok()
    }

    /// How many: of a variable pack (30), or of packs in a logistic unit (37).
    #[must_use]
    pub fn count(&self) -> Option<i64> {
        self.value("37").or_else(|| self.value("30")).and_then(|text| text.parse().ok())
    }

    /// The same as an element string, FNC1 as the character GS.
    #[must_use]
    pub fn element_string(&self) -> String {
        let mut text = String::new();
        for (at, Element { identifier, value }) in self.elements.iter().enumerate() {
            text.push_str(identifier);
            text.push_str(value);
            let open = Identifier::find(identifier).is_none_or(|known| !known.predefined);
            if open && at + 1 < self.elements.len() {
                text.push(GS);
            }
        }
        // A few digits alone would be read as the number of a pack.
        let body: Vec<char> = text.chars().collect();
        if plain_number(None, &body).is_some() {
            text.push(GS);
        }
        text
    }

    /// The same as people read it: identifiers in brackets.
    #[must_use]
    pub fn bracketed(&self) -> String {
        let mut text = String::new();
        for Element { identifier, value } in &self.elements {
            text.push('(');
            text.push_str(identifier);
            text.push(')');
            text.push_str(&value.replace('(', "\\("));
        }
        text
    }

    /// The same as a Digital Link under a resolver, such as `https://id.gs1.org`; none
    /// without a number that a link can start with.
    #[must_use]
    pub fn digital_link(&self, resolver: &str) -> Option<String> {
        link::write(&self.elements, resolver)
    }
}

/// The character that ends a value of open length.
const GS: char = '\u{1d}';

/// A symbology identifier such as `]C1`, and how many characters to skip with any FNC1 that
/// the code starts with.
fn symbology(body: &[char]) -> (Option<String>, usize) {
    let mut skipped = 0;
    let mut found = None;
    if body.len() >= 3 && body[0] == ']' {
        found = Some(body[..3].iter().collect());
        skipped = 3;
    }
    while body.get(skipped).is_some_and(|c| [GS, '^'].contains(c)) {
        skipped += 1;
    }
    (found, skipped)
}

/// A number of a pack without any identifier: from a symbol that holds nothing else, or bare
/// digits of just the length of one. Whether its last digit fits is checked like any other.
fn plain_number(symbology: Option<&str>, body: &[char]) -> Option<Element> {
    let digits = body.iter().all(char::is_ascii_digit);
    let length = [8, 12, 13, 14].contains(&body.len());
    let alone = symbology.is_none_or(|word| word.starts_with("]E") || word == "]I1");
    let text: String = body.iter().collect();
    (digits && length && alone)
        .then(|| Element { identifier: "01".to_owned(), value: format!("{text:0>14}") })
}

/// Elements of a string in which identifiers follow on values.
fn string(body: &[char], from: usize) -> Result<Vec<Placed>, Vec<ScanFault>> {
    let mut placed = Vec::new();
    let mut at = 0;
    while at < body.len() {
        let fault = |position: usize, detail: String| {
            Err(vec![ScanFault { position: from + position, detail }])
        };
        let rest: String = body[at..].iter().take(4).collect();
        let Some(known) = Identifier::starting(&rest) else {
            let detail = format!("no application identifier starts with `{rest}`");
            return fault(at, detail);
        };
        let length = known.digits;
        let identifier: String = body[at..].iter().take(length).collect();
        if identifier.len() < length || !identifier.chars().all(|c| c.is_ascii_digit()) {
            let detail = format!("`{identifier}` is no application identifier of {length} digits");
            return fault(at, detail);
        }
        let begin = at + length;
        let stop = |c: &char| [GS, '^'].contains(c);
        let open = body[begin..].iter().position(stop).map_or(body.len(), |end| begin + end);
        let end = if known.predefined { (begin + known.most).min(body.len()) } else { open };
        let value: String = body[begin..end].iter().collect();
        placed.push((from + at, Element { identifier, value }));
        at = end;
        // A separator after a value of fixed length is allowed and says nothing.
        while at < body.len() && stop(&body[at]) {
            at += 1;
        }
    }
    Ok(placed)
}

/// Elements with their identifiers in brackets; a bracket in a value is written `\(`.
fn bracketed(body: &[char], from: usize) -> Result<Vec<Placed>, Vec<ScanFault>> {
    let mut placed = Vec::new();
    let mut at = 0;
    while at < body.len() {
        let fault =
            |detail: &str| Err(vec![ScanFault { position: from + at, detail: detail.to_owned() }]);
        let Some(close) = body[at..].iter().position(|c| *c == ')') else {
            return fault("an opened bracket is not closed");
        };
        let identifier: String = body[at + 1..at + close].iter().collect();
        if Identifier::find(&identifier).is_none() {
            return fault(&format!("`({identifier})` is no application identifier"));
        }
        let begin = at + close + 1;
        let mut end = begin;
        let mut value = String::new();
        while end < body.len() && body[end] != '(' {
            if body[end] == '\\' && body.get(end + 1) == Some(&'(') {
                end += 1;
            }
            value.push(body[end]);
            end += 1;
        }
        placed.push((from + at, Element { identifier, value }));
        at = end;
    }
    Ok(placed)
}

/// What the elements say by themselves and together.
fn check(placed: &[Placed]) -> Vec<ScanFault> {
    let mut faults = Vec::new();
    for (position, element) in placed {
        let mut refuse = |detail: String| faults.push(ScanFault { position: *position, detail });
        match Identifier::find(&element.identifier) {
            None => refuse(format!("`{}` is no application identifier", element.identifier)),
            Some(known) => {
                if let Err(detail) = known.check(&element.value) {
                    refuse(format!("({}) {detail}", element.identifier));
                }
            }
        }
    }
    let has = |identifier: &str| placed.iter().any(|(_, one)| one.identifier == identifier);
    let place = |identifier: &str| {
        placed.iter().find(|(_, one)| one.identifier == identifier).map_or(0, |(at, _)| *at)
    };
    let mut together = |identifier: &str, wrong: bool, detail: &str| {
        if has(identifier) && wrong {
            faults.push(ScanFault { position: place(identifier), detail: detail.to_owned() });
        }
    };
    let unit = has("00") && has("02");
    together("37", !unit, "(37) counts what is in a logistic unit: (00) and (02) are missing");
    together(
        "02",
        !(has("00") && has("37")),
        "(02) is in a logistic unit: (00) or (37) is missing",
    );
    together("01", has("02"), "(01) and (02) exclude each other: scan one code at a time");
    for (at, (position, one)) in placed.iter().enumerate() {
        let other = placed[..at].iter().find(|(_, two)| two.identifier == one.identifier);
        if other.is_some_and(|(_, two)| two.value != one.value) {
            let detail = format!("({}) is said twice, each time otherwise", one.identifier);
            faults.push(ScanFault { position: *position, detail });
        }
    }
    faults
}

#[cfg(test)]
mod tests;
