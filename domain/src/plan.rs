//! The whole morning as one value: every sheet is a projection of it.
//!
//! Level by level, users before what they use: what must be ready is grossed,
//! split into loads and weighed; what is weighed becomes the demand on the next
//! level at the instant it is weighed, and on stock at the end.

mod batches;
pub mod check;
pub mod cost;
pub mod difference;
pub mod dropped;
mod issues;
mod levers;
mod needs;
pub mod pick;
mod projection;
mod shortages;
mod stock;
mod supplier_orders;
mod toppings;
pub mod why;

pub use issues::Issue;
pub use levers::{Lever, SubstituteLever, SubstituteUse, levers};
pub use needs::{FruitDrawLine, FruitLine, Need, NeedUser};
pub use projection::with_orders;
pub use shortages::{Pressing, ShortageError, ShortageLine, shortages};
pub use stock::{ItemStock, StockLine, in_base_unit, pack_holds};
pub use supplier_orders::{
    Basket, Choice, SupplierOrderLine, SupplierOrderProposal, pack_price, supplier_orders,
};
pub use toppings::Topping;

use crate::{
    bakery::{Bakery, Recipe, RecipeLine},
    book::Book,
    calendar::OutOfCalendar,
    demand::Demand,
    id::Code,
    ratio::{Overflow, Ratio},
    schedule::ScheduleError,
    split::{LoadGroup, Split, SplitError},
    weigh::WeighedLine,
};
use jiff::{Timestamp, civil::Date};
use std::{collections::BTreeMap, ops::Range};

/// Who asks for a made thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum AskedBy {
    /// The pieces of a product, by its position.
    Product(u32),
    /// A formula that uses it, by position of the item that it makes.
    Formula(u32),
}

/// What one user asks of a made thing for one service date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ask {
    /// Who asks.
    pub by: AskedBy,
    /// Micrograms, or batches of what is made by the batch.
    pub amount: Ratio,
}

/// Loads of one size, as weighed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BatchGroup {
    /// Their number and size.
    pub group: LoadGroup,
    /// A line's exact amount is this times its parts.
    pub factor: Ratio,
    /// Its weighed lines in [`Plan::lines`], one for each line of the recipe.
    pub lines: Range<u32>,
    /// Sum of what is weighed, in micrograms.
    pub sum_ug: i64,
    /// How often the largest flour line was moved.
    pub nudges: u32,
    /// Whether the sum is within a quarter percent of the load.
    pub within_tolerance: bool,
    /// Whether rounding moved the hydration; none without flour.
    pub hydration_moved: Option<bool>,
}

/// Pieces of each product in one load.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoadPieces {
    /// Pieces by position of product.
    pub pieces: Vec<(u32, i64)>,
    /// What they weigh together, in micrograms.
    pub mass: Ratio,
}

/// One formula made for one service date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Batch {
    /// Position of the recipe among those of the service date.
    pub recipe: u32,
    /// Position of the item that it makes.
    pub item: u32,
    /// For which service date.
    pub service_date: Date,
    /// When it is weighed or made; none if no time fits.
    pub made_at: Option<Timestamp>,
    /// Who asks for it.
    pub asked: Vec<Ask>,
    /// Sum of what is asked: micrograms, or batches of what is made by the batch.
    pub net: Ratio,
    /// The same with its losses; micrograms, or blocks' dough.
    pub gross: Ratio,
    /// Levain: seed kept for the next build, in micrograms.
    pub keep_back: Ratio,
    /// Whole blocks, for laminated dough.
    pub blocks: Option<i64>,
    /// Its loads.
    pub split: Split,
    /// Position of the mixer.
    pub mixer: Option<u32>,
    /// Its loads as weighed, by size.
    pub groups: Vec<BatchGroup>,
    /// What it takes over all loads, item by item.
    pub issues: Vec<Issue>,
    /// Pieces in each load, if there are several.
    pub pieces_per_load: Vec<LoadPieces>,
    /// What a person may choose from when a load is under the minimum.
    pub options: Vec<UnderMinimum>,
}

/// What can be done about a load under its mixer's minimum.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum UnderMinimum {
    /// Another mixer takes it.
    SmallerMixer(Code),
    /// Mix it with the next day's, if its age window allows.
    MergeWithNextDay,
    /// Mix it with a dough on the same base.
    MergeWithSisterDough,
    /// Mix the minimum and name the overs.
    RaiseToMinimum,
    /// Mix it by hand.
    HandMix,
    /// Do without.
    Drop,
}

/// Something that a person should know, which stops nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Finding {
    /// A batch's route fits no staffed hours.
    NoTime {
        /// Position of the item.
        item: u32,
        /// For which service date.
        service_date: Date,
        /// The step that does not fit.
        step: String,
    },
    /// A load is under its mixer's minimum and nobody decided.
    UnderMinimum {
        /// Position of the item.
        item: u32,
        /// For which service date.
        service_date: Date,
    },
    /// A batch would take more loads than anybody mixes: it is left out of the plan.
    TooManyLoads {
        /// Position of the item.
        item: u32,
        /// For which service date.
        service_date: Date,
    },
    /// A topping is too little for any scale.
    ToppingRefused {
        /// Position of the product.
        product: u32,
        /// Position of the item.
        item: u32,
        /// For which service date.
        service_date: Date,
    },
    /// An order names a product or customer that is no longer known.
    UnknownInOrder {
        /// The product.
        product: Code,
        /// The customer.
        customer: Code,
    },
}

/// All work and all needs behind the orders of some service dates.
#[derive(Debug, Clone, Default)]
pub struct Plan {
    /// Its service dates, in order.
    pub dates: Vec<Date>,
    /// Pieces of all products.
    pub demand: Demand,
    /// Batches by service date, then users before what they use.
    pub batches: Vec<Batch>,
    /// Weighed lines of all loads.
    pub lines: Vec<WeighedLine>,
    /// What goes onto or into pieces beside made things.
    pub toppings: Vec<Topping>,
    /// Joint fruits, by fruit and service date.
    pub fruits: Vec<FruitLine>,
    /// What each user takes of joint fruits, fruit by fruit in order of time.
    pub fruit_draws: Vec<FruitDrawLine>,
    /// Needs of stock in order of time, then item, then user.
    pub needs: Vec<Need>,
    /// Stock of each item that is needed, by position of item.
    pub stock: Vec<ItemStock>,
    /// What a person should know.
    pub findings: Vec<Finding>,
    batch_of: BTreeMap<(Date, u32), u32>,
}

/// Why there is no plan at all.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PlanError {
    /// A number grew beyond exact arithmetic.
    #[error("`{code}` for {service_date}: {source}")]
    Batch {
        /// The formula or product.
        code: Code,
        /// For which service date.
        service_date: Date,
        /// What went wrong.
        source: SplitError,
    },
    /// The orders together are beyond all bounds.
    #[error("the orders together are beyond all bounds: {0}")]
    Demand(#[from] Overflow),
    /// A date beyond all calendars.
    #[error(transparent)]
    OutOfCalendar(#[from] OutOfCalendar),
}

impl From<ScheduleError> for PlanError {
    fn from(_: ScheduleError) -> Self {
        Self::OutOfCalendar(OutOfCalendar)
    }
}

/// What a plan is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlanInput {
    /// The moment of asking.
    pub now: Timestamp,
    /// Last service date looked at.
    pub until: Date,
}

/// Plans all service dates with orders, from today on.
///
/// # Errors
/// [`PlanError`]
pub fn plan(bakery: &Bakery, book: &Book, input: PlanInput) -> Result<Plan, PlanError> {
    let today = bakery.site().time_zone.to_datetime(input.now).date();
    let mut dates: Vec<Date> = book
        .service_dates
        .iter()
        .copied()
        .filter(|date| (today..=input.until).contains(date))
        .collect();
    dates.sort_unstable();
    dates.dedup();
    let demand = crate::demand::demand(bakery, book, &dates)?;
    let mut plan = Plan { dates, demand, ..Plan::default() };
    plan.note_unknown(bakery, book);
    batches::fill(bakery, &mut plan)?;
    toppings::fill(bakery, &mut plan)?;
    needs::fill(bakery, &mut plan, input.now)?;
    stock::fill(bakery, book, &mut plan, input.now)?;
    Ok(plan)
}

/// Only the made things of a plan: from start pieces to weighed loads, date by date.
///
/// # Errors
/// [`PlanError`]
pub fn sweep(bakery: &Bakery, demand: Demand, dates: &[Date]) -> Result<Plan, PlanError> {
    let mut plan = Plan { dates: dates.to_vec(), demand, ..Plan::default() };
    batches::fill(bakery, &mut plan)?;
    Ok(plan)
}

impl Plan {
    /// The last need of all: up to there things go out of date.
    #[must_use]
    pub fn end(&self) -> Option<jiff::Timestamp> {
        self.needs.last().map(|need| need.at)
    }

    /// The batch of an item for a service date.
    #[must_use]
    pub fn batch(&self, service_date: Date, item: u32) -> Option<&Batch> {
        self.batch_of.get(&(service_date, item)).map(|&at| &self.batches[at as usize])
    }

    /// A group's weighed lines beside the recipe's.
    pub fn lines_of<'a>(
        &'a self,
        bakery: &'a Bakery,
        batch: &Batch,
        group: &BatchGroup,
    ) -> impl Iterator<Item = (&'a RecipeLine, &'a WeighedLine)> {
        let recipes = bakery.recipes(batch.service_date);
        let recipe: &Recipe = &recipes.recipes[batch.recipe as usize];
        let weighed = &self.lines[group.lines.start as usize..group.lines.end as usize];
        recipes.lines_of(recipe).iter().zip(weighed)
    }

    fn note_unknown(&mut self, bakery: &Bakery, book: &Book) {
        let index = bakery.index();
        let mut unknown: Vec<(Code, Code)> = book
            .orders
            .iter()
            .filter(|line| {
                index.product(line.product.as_str()).is_none()
                    || index.customer(line.customer.as_str()).is_none()
            })
            .map(|line| (line.product.clone(), line.customer.clone()))
            .collect();
        unknown.sort();
        unknown.dedup();
        self.findings.extend(
            unknown
                .into_iter()
                .map(|(product, customer)| Finding::UnknownInOrder { product, customer }),
        );
    }
}
