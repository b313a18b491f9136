//! Reads texts into domain values and collects every fault.

use super::amount::{MoneyBody, QuantityBody};
use domain::{
    fault::Fault as DomainFault,
    id::Code,
    limits::{NAME_CHARS_MAX, PERCENT_DECIMALS},
    money::{Currency, Money},
    quantity::{NotAQuantity, Quantity, Unit},
    ratio::Ratio,
    temperature::{Celsius, Kelvin},
};
use jiff::{
    SignedDuration, Span, Timestamp,
    civil::{Date, Time, Weekday},
    tz::TimeZone,
};

/// One fault of a body: where, what kind, and in plain words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// JSON Pointer (RFC 6901) into the body.
    pub pointer: String,
    /// Slug of the kind, as in a problem's type.
    pub kind: &'static str,
    /// What is wrong and what to do next.
    pub detail: String,
}

impl From<DomainFault> for Fault {
    fn from(fault: DomainFault) -> Self {
        let DomainFault { pointer, kind, detail } = fault;
        Self { pointer, kind: kind.slug(), detail }
    }
}

/// Where we are in a body, and what was wrong so far.
///
/// Each `read` gives a value in any case: what cannot be read is noted and a stand-in
/// returned, which nobody sees, because a body with faults is refused whole.
#[derive(Debug, Default)]
pub struct Reader {
    path: String,
    faults: Vec<Fault>,
}

impl Reader {
    /// The faults that were found, in document order.
    #[must_use]
    pub fn into_faults(self) -> Vec<Fault> {
        self.faults
    }

    /// What was read, if nothing is wrong with it.
    ///
    /// # Errors
    /// The faults that were found, in document order.
    pub fn done<T>(self, read: T) -> Result<T, Vec<Fault>> {
        if self.faults.is_empty() { Ok(read) } else { Err(self.faults) }
    }

    /// How many faults were found so far.
    pub const fn count(&self) -> usize {
        self.faults.len()
    }

    /// Runs `read` one step deeper.
    pub fn at<T>(&mut self, field: &str, read: impl FnOnce(&mut Self) -> T) -> T {
        let length = self.path.len();
        self.path.push('/');
        self.path.push_str(field);
        let value = read(self);
        self.path.truncate(length);
        value
    }

    /// Runs `read` for each element of a list.
    pub fn each<B, T>(
        &mut self,
        field: &str,
        bodies: &[B],
        mut read: impl FnMut(&mut Self, &B) -> T,
    ) -> Vec<T> {
        self.at(field, |reader| {
            let element = |(number, body): (usize, &B)| {
                reader.at(&number.to_string(), |reader| read(reader, body))
            };
            bodies.iter().enumerate().map(element).collect()
        })
    }

    /// Notes a fault of a field.
    pub fn fault(&mut self, field: &str, kind: &'static str, detail: impl Into<String>) {
        let pointer =
            if field.is_empty() { self.path.clone() } else { format!("{}/{field}", self.path) };
        self.faults.push(Fault { pointer, kind, detail: detail.into() });
    }

    /// A code.
    pub fn code(&mut self, field: &str, text: &str) -> Code {
        Code::parse(text).unwrap_or_else(|error| {
            self.fault(field, "malformed", error.to_string());
            stand_in()
        })
    }

    /// A code for what could not be read; nobody sees it.
    pub fn stand_in(&self) -> Code {
        stand_in()
    }

    /// A code that may be absent.
    pub fn code_option(&mut self, field: &str, text: Option<&str>) -> Option<Code> {
        text.map(|text| self.code(field, text))
    }

    /// A list of codes.
    pub fn codes(&mut self, field: &str, texts: &[String]) -> Vec<Code> {
        self.each(field, texts, |reader, text| reader.code("", text))
    }

    /// What people call a thing; its code if it has no name.
    pub fn name(&mut self, name: Option<&str>, code: &str) -> String {
        let name = name.unwrap_or(code);
        self.words("name", name)
    }

    /// A short text.
    pub fn words(&mut self, field: &str, text: &str) -> String {
        let length = text.chars().count();
        if text.trim().is_empty() || length > NAME_CHARS_MAX {
            self.fault(
                field,
                "malformed",
                format!("{field} has {length} characters: write 1 to {NAME_CHARS_MAX}"),
            );
        } else if let Some(unseen) = text.chars().find(|c| is_unseen(*c)) {
            let code = u32::from(unseen);
            let detail = format!(
                "{field} has a character that cannot be printed (U+{code:04X}): leave it out"
            );
            self.fault(field, "malformed", detail);
        }
        text.to_owned()
    }

    /// A short text that may be absent.
    pub fn words_option(&mut self, field: &str, text: Option<&str>) -> Option<String> {
        text.map(|text| self.words(field, text))
    }

    /// An instant that may be absent.
    pub fn instant_option(&mut self, field: &str, text: Option<&str>) -> Option<Timestamp> {
        text.map(|text| self.instant(field, text))
    }

    /// An exact amount with its unit.
    pub fn quantity(&mut self, field: &str, body: &QuantityBody) -> Quantity {
        let QuantityBody { amount, unit } = body;
        Quantity::parse(amount, unit).unwrap_or_else(|error| {
            let kind = match error {
                NotAQuantity::UnknownUnit(_) => "unknown-unit",
                NotAQuantity::TooLarge => "out-of-range",
                _ => "malformed",
            };
            let part = if kind == "unknown-unit" { "unit" } else { "amount" };
            let detail = format!("`{} {}`: {error}", shortened(amount), shortened(unit));
            self.fault(&format!("{field}/{part}"), kind, detail);
            Quantity::zero(Unit::Gram)
        })
    }

    /// An amount that may be absent.
    pub fn quantity_option(
        &mut self,
        field: &str,
        body: Option<&QuantityBody>,
    ) -> Option<Quantity> {
        body.map(|body| self.quantity(field, body))
    }

    /// A plain decimal: a percentage, parts, a density.
    pub fn decimal(&mut self, field: &str, text: &str) -> Ratio {
        Ratio::parse_decimal(text, PERCENT_DECIMALS).unwrap_or_else(|error| {
            self.fault(field, "malformed", format!("`{}`: {error}", shortened(text)));
            Ratio::ZERO
        })
    }

    /// A decimal that may be absent.
    pub fn decimal_option(&mut self, field: &str, text: Option<&str>) -> Option<Ratio> {
        text.map(|text| self.decimal(field, text))
    }

    /// A temperature in degrees Celsius.
    pub fn celsius(&mut self, field: &str, text: &str) -> Celsius {
        Celsius::parse(text).unwrap_or_else(|error| {
            self.fault(field, "malformed", format!("`{}`: {error}", shortened(text)));
            Celsius::from_thousandths(0)
        })
    }

    /// A difference between temperatures.
    pub fn kelvin(&mut self, field: &str, text: &str) -> Kelvin {
        Kelvin::parse(text).unwrap_or_else(|error| {
            self.fault(field, "malformed", format!("`{}`: {error}", shortened(text)));
            Kelvin::from_thousandths(0)
        })
    }

    /// Money.
    pub fn money(&mut self, field: &str, body: &MoneyBody) -> Money {
        let MoneyBody { minor_units, currency } = body;
        let currency = self.at(field, |reader| reader.currency("currency", currency));
        Money { minor: *minor_units, currency }
    }

    /// A currency.
    pub fn currency(&mut self, field: &str, text: &str) -> Currency {
        match Currency::parse(text).or_else(|error| {
            self.fault(field, "malformed", error.to_string());
            Currency::parse("XXX")
        }) {
            Ok(currency) => currency,
            Err(_) => unreachable!("XXX has three capital letters"),
        }
    }

    /// A local calendar date.
    pub fn date(&mut self, field: &str, text: &str) -> Date {
        parse_date(text).unwrap_or_else(|| {
            let detail = format!(
                "`{}` is not a date: write year-month-day of a day that exists, such as 2026-06-12",
                shortened(text)
            );
            self.fault(field, "malformed", detail);
            Date::MIN
        })
    }

    /// A list of dates.
    pub fn dates(&mut self, field: &str, texts: &[String]) -> Vec<Date> {
        self.each(field, texts, |reader, text| reader.date("", text))
    }

    /// A local time of day.
    pub fn time(&mut self, field: &str, text: &str) -> Time {
        parse_time(text).unwrap_or_else(|| {
            let detail = format!("`{}` is not a time: write HH:MM, such as 07:00", shortened(text));
            self.fault(field, "malformed", detail);
            Time::MIN
        })
    }

    /// An instant.
    pub fn instant(&mut self, field: &str, text: &str) -> Timestamp {
        text.parse().unwrap_or_else(|_| {
            let detail = format!(
                "`{}` is not an instant: write RFC 3339 with an offset, \
                 such as 2026-06-12T05:45:00+02:00",
                shortened(text)
            );
            self.fault(field, "malformed", detail);
            Timestamp::UNIX_EPOCH
        })
    }

    /// A weekday by its three letters.
    pub fn weekday(&mut self, field: &str, text: &str) -> Weekday {
        parse_weekday(text).unwrap_or_else(|| {
            let detail = format!("`{}` is not a weekday: write mon, tue, … sun", shortened(text));
            self.fault(field, "malformed", detail);
            Weekday::Monday
        })
    }

    /// A list of weekdays.
    pub fn weekdays(&mut self, field: &str, texts: &[String]) -> Vec<Weekday> {
        self.each(field, texts, |reader, text| reader.weekday("", text))
    }

    /// A duration in whole minutes; a day is 24 hours.
    pub fn minutes(&mut self, field: &str, text: &str) -> i64 {
        parse_minutes(text).unwrap_or_else(|| {
            let detail = format!(
                "`{}` is not a duration of whole minutes: write ISO 8601, such as PT48H or P3D",
                shortened(text)
            );
            self.fault(field, "malformed", detail);
            0
        })
    }

    /// A duration that may be absent.
    pub fn minutes_option(&mut self, field: &str, text: Option<&str>) -> Option<i64> {
        text.map(|text| self.minutes(field, text))
    }

    /// A time zone by its IANA name.
    pub fn time_zone(&mut self, field: &str, text: &str) -> TimeZone {
        TimeZone::get(text).unwrap_or_else(|_| {
            let detail = format!(
                "`{}` is not a time zone: write its IANA name, such as Europe/Amsterdam",
                shortened(text)
            );
            self.fault(field, "malformed", detail);
            TimeZone::UTC
        })
    }
}

fn stand_in() -> Code {
    match Code::parse("x") {
        Ok(code) => code,
        Err(_) => unreachable!("x is a code"),
    }
}

/// A text as far as it is worth repeating.
fn shortened(text: &str) -> String {
    text.chars().take(40).collect()
}

/// Characters that no sheet shows and that change how others are shown or read: controls,
/// ends of lines, and those that turn the direction of writing.
///
/// # Source
/// Unicode general category Cc; the explicit directional characters of its annex 9.
fn is_unseen(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
        // No letters at all: XML refuses them, and so would every picture with such a name.
        || matches!(c, '\u{fffe}' | '\u{ffff}')
}

/// Reads `2026-06-12`, nothing shorter or longer.
///
/// # Source
/// RFC 3339, full-date.
#[must_use]
pub fn parse_date(text: &str) -> Option<Date> {
    if text.len() == 10 { text.parse().ok() } else { None }
}

/// Reads `07:00`.
#[must_use]
pub fn parse_time(text: &str) -> Option<Time> {
    let (hour, minute) = text.split_once(':')?;
    let two_digits = |part: &str| part.len() == 2 && part.bytes().all(|b| b.is_ascii_digit());
    if !two_digits(hour) || !two_digits(minute) {
        return None;
    }
    Time::new(hour.parse().ok()?, minute.parse().ok()?, 0, 0).ok()
}

fn parse_weekday(text: &str) -> Option<Weekday> {
    Some(match text {
        "mon" => Weekday::Monday,
        "tue" => Weekday::Tuesday,
        "wed" => Weekday::Wednesday,
        "thu" => Weekday::Thursday,
        "fri" => Weekday::Friday,
        "sat" => Weekday::Saturday,
        "sun" => Weekday::Sunday,
        _ => return None,
    })
}

/// Reads `PT48H` or `P3D` as whole minutes of elapsed time.
///
/// # Source
/// ISO 8601 durations; weeks and days are 24-hour days, months and years are refused.
#[must_use]
pub fn parse_minutes(text: &str) -> Option<i64> {
    let span: Span = text.parse().ok()?;
    if !text.starts_with('P') || span.get_years() != 0 || span.get_months() != 0 {
        return None;
    }
    let days = i64::from(span.get_weeks()) * 7 + i64::from(span.get_days());
    let hours = span.weeks(0).days(0);
    let duration = SignedDuration::try_from(hours).ok()?;
    let seconds = duration.as_secs();
    let whole = seconds % 60 == 0 && duration.subsec_nanos() == 0 && seconds >= 0 && days >= 0;
    if whole { Some(days * 24 * 60 + seconds / 60) } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_of_a_duration_is_24_hours() {
        assert_eq!(parse_minutes("P3D"), Some(3 * 24 * 60));
        assert_eq!(parse_minutes("PT48H"), Some(48 * 60));
        assert_eq!(parse_minutes("P1DT12H30M"), Some(36 * 60 + 30));
        for bad in ["", "3D", "P1M", "P1Y", "PT30S", "-P1D", "2 days"] {
            assert_eq!(parse_minutes(bad), None, "{bad}");
        }
    }

    #[test]
    fn a_date_that_does_not_exist_is_refused() {
        assert!(parse_date("2028-02-29").is_some());
        for bad in ["2026-02-29", "2026-6-12", "2026-06-31", "12.6.2026", "2026-06-12T00:00"] {
            assert_eq!(parse_date(bad), None, "{bad}");
        }
    }

    #[test]
    fn a_time_has_two_digits_each() {
        assert!(parse_time("07:00").is_some());
        for bad in ["7:00", "24:00", "07:60", "07", "07:00:00", "+7:00"] {
            assert_eq!(parse_time(bad), None, "{bad}");
        }
    }

    #[test]
    fn every_fault_is_noted_with_its_place() {
        let mut reader = Reader::default();
        reader.at("lines", |reader| {
            reader.at("2", |reader| {
                reader.quantity("quantity", &QuantityBody::new("1e3", "g"));
                reader.quantity("quantity", &QuantityBody::new("1", "cup"));
            });
        });
        let places: Vec<_> =
            reader.into_faults().into_iter().map(|fault| (fault.pointer, fault.kind)).collect();
        assert_eq!(
            places,
            [
                ("/lines/2/quantity/amount".to_owned(), "malformed"),
                ("/lines/2/quantity/unit".to_owned(), "unknown-unit"),
            ]
        );
    }
}
