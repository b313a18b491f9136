//! Days and moments as each language writes them.

use super::Words;
use jiff::civil::Date;
use std::fmt;

impl Words {
    /// A date with its weekday: `Thu 11 Jun`.
    #[must_use]
    pub fn day(self, date: Date) -> String {
        self.dated("date-short", date)
    }

    /// A date with its whole weekday and year: `Thursday 11 June 2026`.
    #[must_use]
    pub fn full_day(self, date: Date) -> String {
        self.dated("date-long", date)
    }

    /// A date of a view, as [`Words::day`] says it; a text that is no date as it is.
    #[must_use]
    pub fn day_of(self, date: &str) -> String {
        date.parse().map_or_else(|_| date.to_owned(), |date| self.day(date))
    }

    /// A date of a view with its year, as a sheet is named: `Thu 11 Jun 2026`.
    #[must_use]
    pub fn year_day(self, date: &str) -> String {
        date.parse().map_or_else(|_| date.to_owned(), |date| self.dated("date-year", date))
    }

    /// The last date on a pack: `20 Aug 2026`.
    #[must_use]
    pub fn pack_day(self, date: &str) -> String {
        date.parse().map_or_else(|_| date.to_owned(), |date| self.dated("date-pack", date))
    }

    /// Several dates of a view: `Fri 12 Jun, Sat 13 Jun`.
    #[must_use]
    pub fn days_of(self, dates: &[String]) -> String {
        if dates.is_empty() {
            return "-".to_owned();
        }
        dates.iter().map(|date| self.day_of(date)).collect::<Vec<_>>().join(", ")
    }

    /// A local instant of a view, by its own offset: `Thu 11 Jun 04:00`.
    #[must_use]
    pub fn moment(self, instant: &str) -> String {
        let parts = instant.get(..10).and_then(|date| date.parse().ok()).zip(instant.get(11..16));
        let Some((date, time)) = parts else { return instant.to_owned() };
        self.tell("moment", &[("day", self.day(date).into()), ("time", time.into())])
    }

    /// A weekday with its time: `Thu 04:00`.
    #[must_use]
    pub fn clock(self, instant: &str) -> String {
        let date = instant.get(..10).and_then(|date| date.parse::<Date>().ok());
        let Some((date, time)) = date.zip(instant.get(11..16)) else { return instant.to_owned() };
        let weekday = date.weekday().to_monday_one_offset();
        format!("{} {time}", self.say(&format!("weekday-{weekday}")))
    }

    /// The clock of a local instant, with its day if that is not `on`.
    #[must_use]
    pub fn moment_on(self, on: impl fmt::Display, instant: &str) -> String {
        match instant.get(11..16) {
            Some(time) if instant.starts_with(&on.to_string()) => time.to_owned(),
            _ => self.moment(instant),
        }
    }

    fn dated(self, message: &str, date: Date) -> String {
        let weekday = date.weekday().to_monday_one_offset();
        let month = date.month();
        let long = message == "date-long";
        let (days, months) =
            if long { ("weekday-long", "month-long") } else { ("weekday", "month") };
        self.tell(
            message,
            &[
                ("weekday", self.say(&format!("{days}-{weekday}")).into()),
                ("day", date.day().to_string().into()),
                ("month", self.say(&format!("{months}-{month}")).into()),
                ("year", date.year().to_string().into()),
            ],
        )
    }
}
