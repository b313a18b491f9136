//! One morning: the bakery, its book and the plan of both, as one value.

use super::Refusal;
use domain::{
    bakery::Bakery,
    book::Book,
    calendar,
    limits::HORIZON_DAYS_MAX,
    plan::{Plan, PlanInput},
};
use jiff::{Timestamp, civil::Date};

/// Days from today that a plan looks ahead unless it is asked for more.
///
/// Long enough that the first delivery which can still bring something lies in it.
pub const HORIZON_DAYS: i64 = 14;

/// All that a sheet is projected from.
#[derive(Debug)]
pub struct Morning {
    /// Reference data.
    pub bakery: Bakery,
    /// Orders and lots.
    pub book: Book,
    /// The plan of both.
    pub plan: Plan,
    /// The moment of asking.
    pub now: Timestamp,
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// Remarks of the reader, such as orders that came late.
    pub notes: Vec<String>,
}

impl Morning {
    /// Plans what was read, up to the later of the usual horizon and `until`.
    ///
    /// # Errors
    /// [`Refusal`] if the orders together cannot be computed.
    pub fn new(
        bakery: Bakery,
        book: Book,
        plan_revision: i64,
        now: Timestamp,
        until: Option<Date>,
    ) -> Result<Self, Refusal> {
        let today = bakery.site().time_zone.to_datetime(now).date();
        let day = |days| calendar::add_days(today, days).map_err(refused);
        let usual = day(HORIZON_DAYS)?;
        let until = until.unwrap_or(usual).min(day(HORIZON_DAYS_MAX)?);
        let plan = domain::plan::plan(&bakery, &book, PlanInput { now, until }).map_err(refused)?;
        Ok(Self { bakery, book, plan, now, plan_revision, notes: Vec::new() })
    }

    /// The local date of the moment of asking.
    #[must_use]
    pub fn today(&self) -> Date {
        self.local_date(self.now)
    }

    /// The local date of an instant.
    #[must_use]
    pub fn local_date(&self, at: Timestamp) -> Date {
        self.bakery.site().time_zone.to_datetime(at).date()
    }
}

/// A computation that left its bounds, as a refusal.
pub fn refused(error: impl std::fmt::Display) -> Refusal {
    Refusal::Stated { slug: "plan-refused", detail: error.to_string() }
}
