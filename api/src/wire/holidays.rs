//! Public holidays as they are proposed.

use crate::service::holidays::{Holiday, SOURCE, YEARS, countries};
use serde::Serialize;
use utoipa::ToSchema;

/// The countries whose holidays can be proposed.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct HolidayCountriesView {
    /// From where the days are.
    pub source: &'static str,
    /// First year that is held.
    #[schema(example = 2026)]
    pub first_year: i16,
    /// Last year that is held.
    #[schema(example = 2031)]
    pub last_year: i16,
    /// Countries by their two letters.
    pub countries: Vec<HolidayCountryView>,
}

/// A country whose holidays can be proposed.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct HolidayCountryView {
    /// Two letters of ISO 3166-1.
    #[schema(example = "NL")]
    pub country: String,
    /// Parts that have days of their own.
    pub parts: Vec<String>,
}

/// The holidays of a year: a proposal.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct HolidaysView {
    /// From where the days are.
    pub source: &'static str,
    /// Two letters of ISO 3166-1.
    #[schema(example = "NL")]
    pub country: String,
    /// The part whose own days are among them.
    pub part: Option<String>,
    /// Which year.
    #[schema(example = 2026)]
    pub year: i16,
    /// What to do with them, in words.
    pub note: &'static str,
    /// The days in order.
    pub days: Vec<HolidayView>,
    /// The dates alone, as `holidays` of a supplier and `closed_dates` of the site take them.
    pub dates: Vec<String>,
}

/// One holiday.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct HolidayView {
    /// The day.
    #[schema(example = "2026-04-27")]
    pub date: String,
    /// Three letters of its weekday.
    #[schema(example = "mon")]
    pub weekday: String,
    /// What it is called.
    pub name: String,
    /// Whether only the part has it.
    pub of_part: bool,
}

impl HolidayCountriesView {
    /// All countries that are held.
    #[must_use]
    pub fn new() -> Self {
        let view = |(country, parts): (String, std::collections::BTreeSet<String>)| {
            HolidayCountryView { country, parts: parts.into_iter().collect() }
        };
        Self {
            source: SOURCE,
            first_year: YEARS.0,
            last_year: YEARS.1,
            countries: countries().into_iter().map(view).collect(),
        }
    }
}

impl Default for HolidayCountriesView {
    fn default() -> Self {
        Self::new()
    }
}

impl HolidaysView {
    /// The holidays of a country in a year.
    #[must_use]
    pub fn new(country: String, part: Option<String>, year: i16, found: &[Holiday]) -> Self {
        let mut dates: Vec<String> = found.iter().map(|one| one.date.to_string()).collect();
        dates.dedup();
        let view = |one: &Holiday| HolidayView {
            date: one.date.to_string(),
            weekday: one.date.strftime("%a").to_string().to_lowercase(),
            name: one.name.clone(),
            of_part: one.of_part,
        };
        Self {
            source: SOURCE,
            country,
            part,
            year,
            note: "a proposal: keep the days on which the supplier does not work, strike or add \
                   others, and put them into its record",
            days: found.iter().map(view).collect(),
            dates,
        }
    }
}
