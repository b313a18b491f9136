//! How long a lot may be used, and which of its dates says so. The only place with the rule.

use crate::calendar::{OutOfCalendar, add_days, add_minutes, last_second};
use jiff::{Timestamp, civil::Date, tz::TimeZone};

/// The dates and events that bound the use of a lot.
///
/// Once a lot was frozen here, all of its dates stand still: what counts is how many days of
/// them were left, and they are in `thawed_until`. What came frozen keeps its printed date.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct ShelfLife {
    /// Never used after this local date.
    pub use_by: Option<Date>,
    /// At its best until this local date; past it a named person decides.
    pub best_before: Option<Date>,
    /// Until when a named person accepted it past its best-before date.
    pub accepted_until: Option<Timestamp>,
    /// Last instant of use, where hours count.
    pub stated_until: Option<Timestamp>,
    /// When its open pack was opened, if that was after any freezing.
    pub opened_at: Option<Timestamp>,
    /// How long an opened pack is used, in minutes.
    pub opened_life_minutes: Option<i64>,
    /// Whether it was frozen here, which stopped every date from before.
    pub was_frozen: bool,
    /// Until when it keeps since it was thawed.
    pub thawed_until: Option<Timestamp>,
    /// When it was mixed or built.
    pub made_at: Option<Timestamp>,
    /// Most age since then, in minutes.
    pub age_max_minutes: Option<i64>,
}

/// What ends the use of a lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LifeEnd {
    /// Its use-by date.
    UseBy,
    /// Its best-before date.
    BestBefore,
    /// The decision to use it past its best-before date.
    Accepted,
    /// The instant that was written down with it.
    Stated,
    /// Its open pack.
    Opened,
    /// That it was thawed.
    Thawed,
    /// Its age.
    Age,
}

impl LifeEnd {
    /// Its stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::UseBy => "use-by",
            Self::BestBefore => "best-before",
            Self::Accepted => "accepted",
            Self::Stated => "stated",
            Self::Opened => "opened",
            Self::Thawed => "thawed",
            Self::Age => "age",
        }
    }
}

/// The last instant of use and what sets it; none if nothing bounds it.
///
/// The earliest of: the printed date's end on the local clock, opening plus opened life,
/// thawing plus thawed life, making plus greatest age. At the same instant the first of
/// these is named.
///
/// # Errors
/// [`OutOfCalendar`]
///
/// # Source
/// The trade rules, part 4.
pub fn usable_until(
    zone: &TimeZone,
    life: &ShelfLife,
) -> Result<Option<(Timestamp, LifeEnd)>, OutOfCalendar> {
    let mut ends = Vec::with_capacity(4);
    if !life.was_frozen {
        if let Some(date) = life.use_by {
            ends.push((last_second(zone, date)?, LifeEnd::UseBy));
        }
        match (life.best_before, life.accepted_until) {
            // A decision past the date replaces it; it never shortens what the pack says.
            (Some(date), Some(accepted)) => {
                let printed = last_second(zone, date)?;
                let end = if accepted > printed { LifeEnd::Accepted } else { LifeEnd::BestBefore };
                ends.push((printed.max(accepted), end));
            }
            (Some(date), None) => ends.push((last_second(zone, date)?, LifeEnd::BestBefore)),
            (None, _) => {}
        }
    }
    if !life.was_frozen {
        ends.extend(life.stated_until.map(|at| (at, LifeEnd::Stated)));
        if let (Some(at), Some(minutes)) = (life.made_at, life.age_max_minutes) {
            ends.push((add_minutes(at, minutes)?, LifeEnd::Age));
        }
    }
    if let (Some(at), Some(minutes)) = (life.opened_at, life.opened_life_minutes) {
        ends.push((add_minutes(at, minutes)?, LifeEnd::Opened));
    }
    ends.extend(life.thawed_until.map(|at| (at, LifeEnd::Thawed)));
    Ok(ends.into_iter().min())
}

/// Whole days of a printed date that are left at a moment; negative if it is past.
#[must_use]
pub fn days_left(zone: &TimeZone, at: Timestamp, date: Date) -> i64 {
    let today = zone.to_datetime(at).date();
    today.until(date).map_or(0, |span| i64::from(span.get_days()))
}

/// Until when a thawed lot keeps: its thawed life, and never more days than were left when
/// it was frozen.
///
/// # Errors
/// [`OutOfCalendar`]
///
/// # Source
/// The trade rules, part 4, freezing.
pub fn thawed_until(
    zone: &TimeZone,
    started_at: Timestamp,
    thawed_life_minutes: i64,
    frozen_days_left: Option<i64>,
) -> Result<Timestamp, OutOfCalendar> {
    let life = add_minutes(started_at, thawed_life_minutes)?;
    let Some(days) = frozen_days_left else { return Ok(life) };
    let last_day = add_days(zone.to_datetime(started_at).date(), days)?;
    Ok(life.min(last_second(zone, last_day)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Timestamp {
        text.parse().expect("an instant")
    }

    fn amsterdam() -> TimeZone {
        TimeZone::get("Europe/Amsterdam").expect("a zone")
    }

    fn end(life: &ShelfLife) -> Option<(Timestamp, LifeEnd)> {
        usable_until(&amsterdam(), life).expect("an end")
    }

    #[test]
    fn a_use_by_day_is_used_to_its_local_end() {
        // Source: check-values.md FE-08: through day D, unusable from D+1 00:00 local.
        let life = ShelfLife { use_by: Some(Date::constant(2026, 6, 11)), ..Default::default() };
        assert_eq!(end(&life), Some((at("2026-06-11T23:59:59+02:00"), LifeEnd::UseBy)));
    }

    #[test]
    fn the_earliest_bound_is_the_end_and_says_which_it_is() {
        // Source: trade.md 4, "usable until = min(…)"; milk keeps 3 days opened.
        let mut life = ShelfLife {
            use_by: Some(Date::constant(2026, 6, 20)),
            opened_at: Some(at("2026-06-10T05:00:00+02:00")),
            opened_life_minutes: Some(3 * 1440),
            ..Default::default()
        };
        assert_eq!(end(&life), Some((at("2026-06-13T05:00:00+02:00"), LifeEnd::Opened)));
        life.made_at = Some(at("2026-06-10T06:00:00+02:00"));
        life.age_max_minutes = Some(48 * 60);
        assert_eq!(end(&life), Some((at("2026-06-12T06:00:00+02:00"), LifeEnd::Age)));
        assert_eq!(end(&ShelfLife::default()), None);
    }

    #[test]
    fn a_decision_moves_a_best_before_and_never_a_use_by() {
        // Source: trade.md 4: past use-by never usable, past best-before by a named person.
        let accepted = Some(at("2026-06-30T20:00:00+02:00"));
        let best = ShelfLife {
            best_before: Some(Date::constant(2026, 6, 9)),
            accepted_until: accepted,
            ..Default::default()
        };
        assert_eq!(end(&best), accepted.map(|at| (at, LifeEnd::Accepted)));
        let use_by = ShelfLife {
            use_by: Some(Date::constant(2026, 6, 9)),
            accepted_until: accepted,
            ..Default::default()
        };
        assert_eq!(end(&use_by).map(|(_, end)| end), Some(LifeEnd::UseBy));
    }

    #[test]
    fn freezing_keeps_the_days_that_were_left() {
        // Source: trade.md 4, freezing: the smaller of the thawed life and the days left.
        let zone = amsterdam();
        let frozen = at("2026-06-08T10:00:00+02:00");
        let left = days_left(&zone, frozen, Date::constant(2026, 6, 10));
        assert_eq!(left, 2);
        let thawed = at("2026-07-01T18:00:00+02:00");
        let until = |minutes| thawed_until(&zone, thawed, minutes, Some(left)).expect("an end");
        assert_eq!(until(5 * 1440), at("2026-07-03T23:59:59+02:00"));
        assert_eq!(until(1440), at("2026-07-02T18:00:00+02:00"));
        let life = ShelfLife {
            use_by: Some(Date::constant(2026, 6, 10)),
            was_frozen: true,
            thawed_until: Some(until(1440)),
            ..Default::default()
        };
        assert_eq!(end(&life), Some((until(1440), LifeEnd::Thawed)));
    }
}
