//! Public holidays by country, as a proposal: a person keeps them, or writes others.
//!
//! # Source
//! The `holidays` package 0.109 (MIT), by `holidays/write.py`. It knows no supplier: whether
//! one works on such a day is the supplier's to say.

use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// The data as it was written.
const DAYS: &str = include_str!("holidays/days.csv");
/// From where it is.
pub const SOURCE: &str = "holidays 0.109 (MIT), public holidays";
/// First and last year that it holds.
pub const YEARS: (i16, i16) = (2026, 2031);

/// A public holiday.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Holiday {
    /// The day.
    pub date: Date,
    /// What it is called.
    pub name: String,
    /// Whether only a part of the country has it.
    pub of_part: bool,
}

/// One row: country, part, name, days.
fn rows() -> impl Iterator<Item = (String, String, String, String)> {
    let reader = csv::Reader::from_reader(DAYS.as_bytes());
    reader.into_deserialize().filter_map(Result::ok)
}

/// Countries by their two letters (ISO 3166-1), and the parts that have days of their own.
#[must_use]
pub fn countries() -> BTreeMap<String, BTreeSet<String>> {
    let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (country, part, _, _) in rows() {
        let parts = found.entry(country).or_default();
        parts.extend(Some(part).filter(|part| !part.is_empty()));
    }
    found
}

/// Holidays of a country in a year, with those of a part of it if one is named; none if the
/// country is not held.
#[must_use]
pub fn of_year(country: &str, part: Option<&str>, year: i16) -> Vec<Holiday> {
    let mut found = Vec::new();
    for (of, of_part, name, days) in rows() {
        if of != country || !(of_part.is_empty() || part == Some(of_part.as_str())) {
            continue;
        }
        for date in days.split(' ').filter_map(crate::document::parse_date) {
            if date.year() == year {
                let of_part = !of_part.is_empty();
                found.push(Holiday { date, name: name.clone(), of_part });
            }
        }
    }
    found.sort();
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Easter Sunday.
    ///
    /// # Source
    /// The anonymous Gregorian computus, as published in Nature of 20 April 1876; from memory.
    fn easter(year: i16) -> Date {
        let (a, b, c) = (year % 19, year / 100, year % 100);
        let (d, e) = (b / 4, b % 4);
        let g = (8 * b + 13) / 25;
        let h = (19 * a + b - d - g + 15) % 30;
        let (i, k) = (c / 4, c % 4);
        let l = (32 + 2 * e + 2 * i - h - k) % 7;
        let m = (a + 11 * h + 22 * l) / 451;
        let (month, day) = ((h + l - 7 * m + 114) / 31, (h + l - 7 * m + 114) % 31 + 1);
        let small = |value: i16| i8::try_from(value).expect("a month or day");
        jiff::civil::date(year, small(month), small(day))
    }

    #[test]
    fn easter_moves_as_the_published_rule_says() {
        for year in YEARS.0..=YEARS.1 {
            let monday = easter(year).tomorrow().expect("a day");
            for country in ["NL", "DE", "FR", "AT", "IT"] {
                let found = of_year(country, None, year);
                assert!(found.iter().any(|one| one.date == monday), "{country} {monday}");
            }
        }
        assert_eq!(easter(2026), jiff::civil::date(2026, 4, 5));
    }

    #[test]
    fn parts_add_their_own_days_and_every_row_can_be_read() {
        let named = |country, part| -> Vec<String> {
            of_year(country, part, 2026).into_iter().map(|one| one.date.to_string()).collect()
        };
        // Saint Andrew's Day is a holiday of Scotland: 30 November, a Monday in 2026.
        assert!(!named("GB", None).contains(&"2026-11-30".to_owned()));
        assert!(named("GB", Some("SCT")).contains(&"2026-11-30".to_owned()));
        assert!(named("NL", None).contains(&"2026-04-27".to_owned()), "King's Day");
        assert_eq!(named("XX", None), Vec::<String>::new());
        assert_eq!(rows().count(), DAYS.lines().count() - 1);
        for (country, _, name, days) in rows() {
            let read = days.split(' ').map(crate::document::parse_date);
            assert!(read.clone().all(|day| day.is_some()), "{country} {name} {days}");
            assert!(country.len() == 2 && !name.is_empty(), "{country} {name}");
        }
        assert!(countries()["DE"].contains("BY"));
    }
}
