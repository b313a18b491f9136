//! One morning: the bakery, its book and the plan of both, as one value.

mod ask;
mod kept;

pub use ask::{Asked, NumberOf};
pub use kept::{KeptMorning, kept};

use super::{
    Refusal, bakery,
    book::{self, LateOrder},
    loads::{self, Load},
};
use crate::{
    state::State,
    store::{Tx, sites},
};
use domain::{
    bakery::Bakery,
    book::Book,
    calendar,
    limits::HORIZON_DAYS_MAX,
    plan::{
        Plan, PlanInput,
        cost::{Costs, standard_costs},
    },
};
use jiff::{Timestamp, civil::Date};
use std::sync::{Arc, OnceLock};

/// Days from today that a plan looks ahead unless it is asked for more.
///
/// Long enough that the first delivery which can still bring something lies in it.
pub const HORIZON_DAYS: i64 = 14;

/// How far a plan looks ahead.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Horizon {
    /// The usual days, and as many more as reach a service date.
    ServiceDate(Date),
    /// The usual days from now or from a work date, whichever reaches further.
    WorkDate(Date),
    /// Up to a service date, and not beyond.
    Until(Date),
    /// The usual days.
    Usual,
}

impl Horizon {
    /// The last service date that is looked at.
    ///
    /// # Errors
    /// [`Refusal`] beyond all calendars.
    pub fn until(self, bakery: &Bakery, now: Timestamp) -> Result<Date, Refusal> {
        let today = bakery.site().time_zone.to_datetime(now).date();
        let after = |date, days| calendar::add_days(date, days).map_err(refused);
        let usual = after(today, HORIZON_DAYS)?;
        let until = match self {
            Self::Usual => usual,
            Self::ServiceDate(date) => usual.max(date),
            Self::WorkDate(date) => usual.max(after(date, HORIZON_DAYS)?),
            Self::Until(date) => date,
        };
        Ok(until.min(after(today, HORIZON_DAYS_MAX)?))
    }
}

/// All that a sheet is projected from.
#[derive(Debug)]
pub struct Morning {
    /// Reference data.
    pub bakery: Arc<Bakery>,
    /// Orders and lots.
    pub book: Book,
    /// The plan of both.
    pub plan: Plan,
    /// Last service date looked at.
    pub until: Date,
    /// The moment of asking.
    pub now: Timestamp,
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// Orders that came after their cutoff; they count, and a person decides.
    pub late: Vec<LateOrder>,
    /// Released loads, as they were written down.
    pub loads: Vec<Load>,
    costs: OnceLock<Costs>,
}

impl Morning {
    /// Plans what was read.
    ///
    /// # Errors
    /// [`Refusal`] if the orders together cannot be computed.
    pub fn new(
        (bakery, book, plan_revision): (Arc<Bakery>, Book, i64),
        now: Timestamp,
        horizon: Horizon,
    ) -> Result<Self, Refusal> {
        let until = horizon.until(&bakery, now)?;
        let plan = domain::plan::plan(&bakery, &book, PlanInput { now, until }).map_err(refused)?;
        Ok(Self {
            bakery,
            book,
            plan,
            until,
            now,
            plan_revision,
            late: Vec::new(),
            loads: Vec::new(),
            costs: OnceLock::new(),
        })
    }

    /// What was released of a held load of the book.
    #[must_use]
    pub fn load_of(&self, held: u32) -> Option<&Load> {
        let held = self.book.held.get(held as usize)?;
        let key = (held.service_date, held.formula.as_str(), held.number);
        self.loads
            .iter()
            .find(|load| (load.service_date, load.formula.as_str(), load.number) == key)
    }

    /// What all that is made costs by formula and price, worked out when it is first asked for.
    #[must_use]
    pub fn standard_costs(&self) -> &Costs {
        self.costs.get_or_init(|| standard_costs(&self.bakery, &self.plan))
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

/// Reads the book and plans it, all as one moment sees it.
///
/// # Errors
/// [`Refusal`]
pub fn load(state: &State, horizon: Horizon) -> Result<Morning, Refusal> {
    let now = state.now();
    // The plan is computed after the read: it needs no database.
    let (read, late, loads) = state.store.read(|tx| read(state, tx))?;
    Ok(Morning { late, loads, ..Morning::new(read, now, horizon)? })
}

/// The same inside a transaction, for what is decided on a plan and written.
///
/// # Errors
/// [`Refusal`]
pub fn load_in(state: &State, tx: &mut Tx, horizon: Horizon) -> Result<Morning, Refusal> {
    let (read, late, loads) = read(state, tx)?;
    Ok(Morning { late, loads, ..Morning::new(read, state.now(), horizon)? })
}

type Read = ((Arc<Bakery>, Book, i64), Vec<LateOrder>, Vec<Load>);

fn read(state: &State, tx: &mut Tx) -> Result<Read, Refusal> {
    let read = book::load(state, tx)?;
    let today = read.0.site().time_zone.to_datetime(state.now()).date();
    let loads = loads::list_from(tx, &state.site, today)?;
    Ok((read, book::late_orders(state, tx)?, loads))
}

/// The reference data alone, for statements that ask for no order.
///
/// # Errors
/// [`Refusal`]
pub fn load_reference(state: &State) -> Result<Morning, Refusal> {
    let now = state.now();
    let (bakery, plan_revision) = state.store.read(|tx| -> Result<_, Refusal> {
        Ok((bakery::load(state, tx)?, sites::find(tx, &state.site)?.plan_revision))
    })?;
    let until = bakery.site().time_zone.to_datetime(now).date();
    let (book, plan, late) = (Book::default(), Plan::default(), Vec::new());
    let loads = Vec::new();
    let costs = OnceLock::new();
    Ok(Morning { bakery, book, plan, until, now, plan_revision, late, loads, costs })
}

/// A computation that left its bounds, as a refusal.
pub fn refused(error: impl std::fmt::Display) -> Refusal {
    Refusal::Stated { slug: "plan-refused", detail: error.to_string() }
}
