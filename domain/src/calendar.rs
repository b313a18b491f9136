//! Local days and times on the line of instants.

use crate::product::At;
use jiff::{
    Timestamp, ToSpan,
    civil::{Date, DateTime, Time},
    tz::TimeZone,
};

/// The instant of a local date and time.
///
/// A time that a clock change makes ambiguous is the earlier one; a time that it
/// skips is moved on by the gap.
///
/// # Errors
/// [`OutOfCalendar`] beyond the years that a calendar holds.
///
/// # Source
/// RFC 5545's reading of ambiguous and missing local times.
pub fn instant(zone: &TimeZone, date: Date, time: Time) -> Result<Timestamp, OutOfCalendar> {
    zone.to_ambiguous_timestamp(DateTime::from_parts(date, time))
        .compatible()
        .map_err(|_| OutOfCalendar)
}

/// The instant of a time that is stated against a service date.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn instant_at(zone: &TimeZone, service: Date, at: At) -> Result<Timestamp, OutOfCalendar> {
    instant(zone, add_days(service, at.day.into())?, at.time)
}

/// A date some days on.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn add_days(date: Date, days: i64) -> Result<Date, OutOfCalendar> {
    let span = jiff::Span::new().try_days(days).map_err(|_| OutOfCalendar)?;
    date.checked_add(span).map_err(|_| OutOfCalendar)
}

/// An instant some elapsed minutes on, whatever the clocks on the wall do.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn add_minutes(at: Timestamp, minutes: i64) -> Result<Timestamp, OutOfCalendar> {
    let span = jiff::Span::new().try_minutes(minutes).map_err(|_| OutOfCalendar)?;
    at.checked_add(span).map_err(|_| OutOfCalendar)
}

/// The last second of a local date: a dated lot is usable until here.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn last_second(zone: &TimeZone, date: Date) -> Result<Timestamp, OutOfCalendar> {
    let next = instant(zone, add_days(date, 1)?, Time::midnight())?;
    next.checked_sub(1.second()).map_err(|_| OutOfCalendar)
}

/// A date or instant lies beyond the years that a calendar holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a date lies beyond the years that a calendar holds")]
pub struct OutOfCalendar;
