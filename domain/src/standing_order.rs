//! Standing orders and counter par: what is wanted on the same weekdays until further notice.

use crate::id::Code;
use jiff::civil::{Date, Time, Weekday};

/// A weekday pattern of order lines for one customer and drop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StandingOrder {
    /// Its name.
    pub code: Code,
    /// Who wants it.
    pub customer: Code,
    /// Local time of delivery or collection.
    pub drop: Time,
    /// What is wanted when.
    pub pattern: Pattern,
}

/// What a counter should open with: pieces that are made though nobody ordered them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Par {
    /// Its name.
    pub code: Code,
    /// Whose counter.
    pub customer: Code,
    /// Local time at which they must be there.
    pub drop: Time,
    /// How many of what on which days; an event is an exception.
    pub pattern: Pattern,
}

/// What is wanted on the weekdays between two dates, with pauses and exceptions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pattern {
    /// First service date.
    pub from: Date,
    /// Last service date; none if nobody knows yet.
    pub until: Option<Date>,
    /// What is wanted on which weekdays; no weekday stands in two of them.
    pub days: Vec<StandingDay>,
    /// Times in which nothing is wanted.
    pub pauses: Vec<Pause>,
    /// Single dates that differ; they leave the pattern as it is.
    pub exceptions: Vec<StandingException>,
}

/// What is wanted on some weekdays.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StandingDay {
    /// The weekdays.
    pub weekdays: Vec<Weekday>,
    /// What is wanted on each of them.
    pub lines: Vec<StandingLine>,
}

/// Service dates on which nothing is wanted, both ends in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pause {
    /// The first.
    pub from: Date,
    /// The last.
    pub until: Date,
}

/// One date on which something else is wanted than the pattern says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StandingException {
    /// The service date.
    pub date: Date,
    /// All that is wanted then; nothing if it is empty.
    pub lines: Vec<StandingLine>,
}

/// One product and quantity of a standing order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StandingLine {
    /// What is wanted.
    pub product: Code,
    /// Whole pieces, above 0.
    pub pieces: i64,
}

impl Pattern {
    /// What is wanted on a service date: an exception goes before a pause, a pause before
    /// the pattern.
    #[must_use]
    pub fn lines_on(&self, date: Date) -> &[StandingLine] {
        if date < self.from || self.until.is_some_and(|until| date > until) {
            return &[];
        }
        if let Some(found) = self.exceptions.iter().find(|exception| exception.date == date) {
            return &found.lines;
        }
        if self.pauses.iter().any(|pause| (pause.from..=pause.until).contains(&date)) {
            return &[];
        }
        let of_weekday = |day: &&StandingDay| day.weekdays.contains(&date.weekday());
        self.days.iter().find(of_weekday).map_or(&[], |day| &day.lines)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn day(month: i8, day: i8) -> Date {
        Date::constant(2028, month, day)
    }

    fn lines(product: &str, pieces: i64) -> Vec<StandingLine> {
        vec![StandingLine { product: Code::parse(product).expect("a code"), pieces }]
    }

    /// Six on Tuesdays and four on Saturdays from mid February 2028 to the end of March.
    fn order() -> Pattern {
        Pattern {
            from: day(2, 15),
            until: Some(day(3, 28)),
            days: vec![
                StandingDay { weekdays: vec![Weekday::Tuesday], lines: lines("loaf", 6) },
                StandingDay { weekdays: vec![Weekday::Saturday], lines: lines("loaf", 4) },
            ],
            pauses: vec![Pause { from: day(3, 6), until: day(3, 14) }],
            exceptions: vec![StandingException { date: day(3, 21), lines: lines("loaf", 9) }],
        }
    }

    fn pieces(order: &Pattern, date: Date) -> i64 {
        order.lines_on(date).iter().map(|line| line.pieces).sum()
    }

    #[test]
    fn a_leap_day_runs_as_its_weekday() {
        // Source: trade.md 7, case 21: 29 February 2028 is a Tuesday.
        assert_eq!(pieces(&order(), day(2, 29)), 6);
        assert_eq!(pieces(&order(), day(3, 1)), 0);
        assert_eq!(pieces(&order(), day(3, 4)), 4);
    }

    #[test]
    fn both_ends_and_a_pause_hold_to_the_day() {
        let wanted = |date| pieces(&order(), date);
        assert_eq!((wanted(day(2, 8)), wanted(day(2, 15))), (0, 6));
        assert_eq!((wanted(day(3, 28)), wanted(day(4, 4))), (6, 0));
        // The pause takes Tuesday the 7th and 14th and Saturday the 11th, and nothing else.
        assert_eq!([4, 7, 11, 14, 18].map(|of| wanted(day(3, of))), [4, 0, 0, 0, 4]);
    }

    #[test]
    fn an_exception_changes_one_day_and_leaves_the_pattern() {
        let mut order = order();
        assert_eq!((pieces(&order, day(3, 21)), pieces(&order, day(3, 28))), (9, 6));
        // It goes before a pause, and one without lines wants nothing.
        order.pauses.push(Pause { from: day(3, 20), until: day(3, 22) });
        assert_eq!(pieces(&order, day(3, 21)), 9);
        order.exceptions[0].lines.clear();
        assert_eq!(pieces(&order, day(3, 21)), 0);
    }
}
