//! One morning: the bakery, its book and the plan of both, as one value.

mod after;
mod ask;
mod drawn;
mod kept;

pub(in crate::service) use ask::regulation;
pub use ask::{Asked, NumberOf};
use drawn::Drawn;
pub use kept::{KeptMornings, kept};

use super::{
    Refusal, bakery,
    book::{self, AskingOrder, Whole},
    loads::{self, Load},
    supplier_orders::OverdueOrder,
};
use crate::{
    pieces::Pieces,
    state::State,
    store::{
        Tx,
        sites::{self, SiteRow},
    },
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
    /// Orders that wait for a person: those after their cutoff count, probable duplicates do not.
    pub asking: Vec<AskingOrder>,
    /// Released loads, as they were written down.
    pub loads: Vec<Load>,
    /// Supplier orders that should have come by now.
    pub overdue: Vec<OverdueOrder>,
    costs: OnceLock<Costs>,
    drawn: Drawn,
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
        Ok(Self::of((bakery, book, plan_revision), plan, (now, until)))
    }

    /// What was read and its plan; nothing asks, is released or overdue, and nothing of it was
    /// worked out or drawn yet.
    fn of(
        (bakery, book, plan_revision): (Arc<Bakery>, Book, i64),
        plan: Plan,
        (now, until): (Timestamp, Date),
    ) -> Self {
        Self {
            bakery,
            book,
            plan,
            until,
            now,
            plan_revision,
            asking: Vec::new(),
            loads: Vec::new(),
            overdue: Vec::new(),
            costs: OnceLock::new(),
            drawn: Drawn::default(),
        }
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

    /// A sheet of it in the bytes in which it goes out, drawn when it is first asked for. Its
    /// name says all that it is drawn from beside the plan. `draw` says whether it may be kept.
    ///
    /// # Errors
    /// What `draw` says.
    pub fn sheet<E>(
        &self,
        name: &str,
        draw: impl FnOnce() -> Result<(Pieces, bool), E>,
    ) -> Result<Pieces, E> {
        self.drawn.find_or(name, draw)
    }

    /// The same if it was drawn before.
    #[must_use]
    pub fn drawn(&self, name: &str) -> Option<Pieces> {
        self.drawn.find(name)
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

/// The plan of the book as one moment sees it, as it was made before or anew.
///
/// # Errors
/// [`Refusal`]
pub fn load(state: &State, horizon: Horizon) -> Result<Arc<Morning>, Refusal> {
    let now = state.now();
    state.store.read(|tx| kept(state, tx, now, horizon))
}

/// The same at the counters that the door saw, if it was made before: for answers that are ready.
#[must_use]
pub fn at_once(state: &State, counts: SiteRow, horizon: Horizon) -> Option<Arc<Morning>> {
    let bakery = state.compiled(counts.bakery_revision)?;
    // Whoever asks again and waits hears what was wrong.
    state.mornings.kept(counts, &bakery, state.now(), horizon).ok().flatten()
}

/// The same inside a transaction and of this very moment, for what is decided on a plan
/// and written.
///
/// # Errors
/// [`Refusal`]
pub fn load_in(state: &State, tx: &mut Tx, horizon: Horizon) -> Result<Morning, Refusal> {
    let bakery = bakery::load(state, tx)?;
    read((tx, &state.site), &bakery, state.now(), horizon)
}

/// Reads the book and plans it.
///
/// # Errors
/// [`Refusal`]
pub fn read(
    (tx, site): (&mut Tx, &str),
    bakery: &Arc<Bakery>,
    now: Timestamp,
    horizon: Horizon,
) -> Result<Morning, Refusal> {
    let until = horizon.until(bakery, now)?;
    let today = bakery.site().time_zone.to_datetime(now).date();
    let Whole { bakery, book, overdue } = book::whole((tx, site), bakery, (now, until))?;
    let revision = sites::find(tx, site)?.plan_revision;
    let asking = book::asking_orders(tx, site, today)?;
    let loads = loads::list_from(tx, site, today)?;
    let read = (bakery, book, revision);
    Ok(Morning { asking, loads, overdue, ..Morning::new(read, now, horizon)? })
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
    let read = (bakery, Book::default(), plan_revision);
    Ok(Morning::of(read, Plan::default(), (now, until)))
}

/// A computation that left its bounds, as a refusal.
pub fn refused(error: impl std::fmt::Display) -> Refusal {
    Refusal::Stated { slug: "plan-refused", detail: error.to_string() }
}
