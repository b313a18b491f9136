//! Dates of six digits, whose century follows from the day on which they are read.

use jiff::civil::Date;

/// The digits are no date.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotADate {
    /// Other than six digits.
    #[error("a date is six digits: year, month, day")]
    Length,
    /// No such month.
    #[error("there is no month {0:02}")]
    Month(i8),
    /// No such day in that month.
    #[error("there is no day {0:02} in that month")]
    Day(i8),
}

/// A date of the form YYMMDD; day 00 is the last of its month.
///
/// The year lies from 49 years before the day of reading to 50 years after it.
///
/// # Errors
/// [`NotADate`]
///
/// # Source
/// GS1 General Specifications, determination of century in dates; day 00, from memory.
pub fn date_of(text: &str, today: Date) -> Result<Date, NotADate> {
    let digits = text.len() == 6 && text.bytes().all(|byte| byte.is_ascii_digit());
    if !digits {
        return Err(NotADate::Length);
    }
    let two = |at: usize| text[at..at + 2].parse::<i8>().map_err(|_| NotADate::Length);
    let (year, month, day) = (i16::from(two(0)?), two(2)?, two(4)?);
    let century = today.year() - today.year().rem_euclid(100);
    let apart = year - today.year().rem_euclid(100);
    let year = match apart {
        51.. => century - 100 + year,
        ..=-50 => century + 100 + year,
        _ => century + year,
    };
    let first = Date::new(year, month, 1).map_err(|_| NotADate::Month(month))?;
    if day == 0 {
        return Ok(first.last_of_month());
    }
    Date::new(year, month, day).map_err(|_| NotADate::Day(day))
}
