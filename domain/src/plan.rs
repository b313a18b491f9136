//! The whole morning as one value: every sheet is a projection of it.
//!
//! Level by level, users before what they use: what must be ready is grossed,
//! split into loads and weighed; what is weighed becomes the demand on the next
//! level at the instant it is weighed, and on stock at the end.

pub mod bakes;
mod batches;
pub mod bench;
pub mod board;
pub mod check;
pub mod cost;
pub mod cuts;
pub mod day_old;
pub mod difference;
pub mod dropped;
mod expiring;
mod findings;
mod held;
mod hours;
mod issues;
mod levers;
mod load_draws;
mod load_pieces;
mod lot_uses;
pub mod made_stock;
pub mod mixes;
mod near_miss;
mod needs;
mod overrides;
pub mod pick;
pub mod prep;
mod projection;
pub mod replaced;
pub mod replan;
mod reserve;
mod shortages;
pub mod statement;
mod stock;
mod supplier_orders;
pub mod takings;
mod times;
mod toppings;
mod unstocked;
pub mod why;
pub mod workbench;

pub use crate::schedule::Hindrance;
pub use expiring::{Expiring, expiring, users};
pub use findings::Finding;
pub use held::HeldPart;
pub use hours::{LoadHours, StepHours};
pub use issues::Issue;
pub use levers::{Lever, SubstituteLever, SubstituteUse, levers};
pub use load_draws::LoadDraw;
pub use lot_uses::{LotUse, lot_uses};
pub use made_stock::FromStock;
pub use near_miss::{NearMiss, near_miss};
pub use needs::{FruitDrawLine, FruitLine, Need, NeedUser, stock_draw};
pub use overrides::CannotSet;
pub use projection::with_orders;
pub use shortages::{Pressing, ShortageError, ShortageLine, shortages, too_late, undecided};
pub use stock::{ItemStock, StockLine, in_base_unit, pack_holds};
pub use supplier_orders::{
    Basket, Choice, SplitOffer, SupplierOrderLine, SupplierOrderProposal, supplier_orders,
};
pub use times::{Bake, ClashLever, DropLine, LoadTime, NoFit, Run, Spot, TimedStep, Trial, trial};
pub use toppings::Topping;
use unstocked::{timed, unstocked};

use crate::{
    bakery::{Bakery, Recipe, RecipeLine},
    book::Book,
    calendar::OutOfCalendar,
    demand::{Demand, Placed, demand_at},
    id::Code,
    overrides::Override,
    ratio::{Overflow, Ratio},
    rows::Rows,
    schedule::ScheduleError,
    split::{LoadGroup, Split, SplitError},
    weigh::WeighedLine,
};
use batches::Given;
use jiff::{Timestamp, civil::Date};
use made_stock::MadeStock;
use std::{collections::BTreeMap, sync::Arc};

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
    /// Its weighed lines, one for each line of the recipe.
    pub lines: Vec<WeighedLine>,
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
    /// Which mix of this formula and date, from 1; several only where its products have
    /// no start in common.
    pub mix: u32,
    /// Its loads in their mixer; none if nobody says how long it mixes.
    pub load_times: Vec<LoadTime>,
    /// The latest `made_at` with which every drop is met; none if nobody knows.
    pub latest_start: Option<Timestamp>,
    /// Whether nobody asks for it: it keeps a levain alive on a day without a build.
    pub feed: bool,
    /// When it is weighed or made; none if no time fits.
    pub made_at: Option<Timestamp>,
    /// Who asks for it.
    pub asked: Vec<Ask>,
    /// What made stock spares it, lot by lot.
    pub from_stock: Vec<FromStock>,
    /// Sum of what is asked less what stock spares: micrograms, or batches of what is made by
    /// the batch.
    pub net: Ratio,
    /// The same with its losses; micrograms, or blocks' dough.
    pub gross: Ratio,
    /// Levain: seed kept for the next build, in micrograms.
    pub keep_back: Ratio,
    /// Whole blocks to be folded, for laminated dough.
    pub blocks: Option<i64>,
    /// Blocks of its released loads.
    pub held_blocks: i64,
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
    /// Released and later loads that count, by number: they never move. All else here
    /// that speaks of loads speaks of drafts.
    pub held: Vec<HeldPart>,
    /// What held loads take together, item by item.
    pub held_issues: Vec<Issue>,
    /// Numbers of the draft loads, in the order of the groups.
    pub numbers: Vec<i64>,
    /// What the draft loads must give, in micrograms.
    pub to_mix: Ratio,
    /// The same before a person raised it to the mixer's minimum.
    pub raised_from: Option<Ratio>,
}

impl Batch {
    /// The number of the first draft load of each group.
    #[must_use]
    pub fn number(&self, draft: usize) -> i64 {
        self.numbers.get(draft).copied().unwrap_or(0)
    }

    /// When a draft load goes into its mixer, if that is known.
    #[must_use]
    pub fn mixes_at(&self, number: i64) -> Option<Timestamp> {
        self.load_times.iter().find(|time| time.load == number).map(|time| time.start)
    }

    /// All its blocks, held and drafted; none if it is not laminated.
    #[must_use]
    pub fn all_blocks(&self) -> Option<i64> {
        self.blocks.map(|blocks| blocks + self.held_blocks)
    }

    /// All its loads, held and drafted.
    #[must_use]
    pub fn all_loads(&self) -> i64 {
        self.split.loads + i64::try_from(self.held.len()).unwrap_or(0)
    }
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

/// All work and all needs behind the orders of some service dates.
///
/// A copy shares with it all that neither of them changes afterwards.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Plan {
    /// Its service dates, in order.
    pub dates: Vec<Date>,
    /// Pieces of all products.
    pub demand: Demand,
    /// Batches by service date, then users before what they use.
    pub batches: Vec<Arc<Batch>>,
    /// Pieces on their way to their drops, by service date, drop, product and part.
    pub runs: Vec<Run>,
    /// What goes onto or into pieces beside made things.
    pub toppings: Rows<Topping>,
    /// Joint fruits, by fruit and service date.
    pub fruits: Vec<FruitLine>,
    /// What each user takes of joint fruits, fruit by fruit in order of time.
    pub fruit_draws: Vec<FruitDrawLine>,
    /// Needs of stock in order of time, then item, then user.
    pub needs: Rows<Need>,
    /// Stock of each item that is needed, by position of item.
    pub stock: Vec<ItemStock>,
    /// What a person should know.
    pub findings: Vec<Finding>,
    /// Start pieces of each drop, by service date, product and drop; only of products with
    /// a route.
    pub drops: Vec<DropLine>,
    /// Par-baked pieces of each drop, which go through their finish route.
    pub finishing: Vec<DropLine>,
    /// What people set by hand for its service dates, and holds.
    pub overrides: Vec<Override>,
    batch_of: Arc<BTreeMap<(Date, u32), u32>>,
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

impl From<ShortageError> for PlanError {
    fn from(error: ShortageError) -> Self {
        match error {
            ShortageError::Overflow(overflow) => overflow.into(),
            ShortageError::OutOfCalendar(beyond) => beyond.into(),
        }
    }
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
    let dates = dates_of(bakery, book, input);
    let placed = Placed::new(bakery, book, &dates);
    let demand = demand_at(bakery, (book, &placed.lines), &dates, input.now)?;
    let mut plan = Plan { dates, demand, ..Plan::default() };
    plan.note_unknown(&placed);
    plan.note_decided(bakery, book);
    let of_dates = |one: &&Override| plan.dates.contains(&one.service_date);
    plan.overrides = book.overrides.iter().filter(of_dates).cloned().collect();
    times::drops::fill(bakery, &placed.lines, &mut plan)?;
    let clock = times::Clock::new(bakery, &plan.dates)?;
    let given = Given { bakery, book, clock: &clock };
    let made = MadeStock::new((&given, &placed.lines), &plan.demand, &plan.dates, input.now)?;
    batches::fill(&given, &mut plan, made, input.until)?;
    times::fill(&clock, book, &mut plan, input.now)?;
    plan.sort_findings();
    toppings::fill(bakery, &mut plan)?;
    needs::fill(bakery, book, &mut plan, input.now)?;
    stock::fill(bakery, book, &mut plan, input.now)?;
    Ok(plan)
}

/// The service dates of a plan, in order.
fn dates_of(bakery: &Bakery, book: &Book, input: PlanInput) -> Vec<Date> {
    let today = bakery.site().time_zone.to_datetime(input.now).date();
    let dates = book.service_dates.iter().copied();
    let mut dates: Vec<Date> = dates.filter(|date| (today..=input.until).contains(date)).collect();
    dates.sort_unstable();
    dates.dedup();
    dates
}

/// Only the made things of a plan: from start pieces to weighed loads, date by date.
///
/// # Errors
/// [`PlanError`]
pub fn sweep(bakery: &Bakery, demand: Demand, dates: &[Date]) -> Result<Plan, PlanError> {
    let mut plan = Plan { dates: dates.to_vec(), demand, ..Plan::default() };
    let until = dates.last().copied().unwrap_or(Date::MIN);
    let (book, clock) = (Book::default(), times::Clock::new(bakery, dates)?);
    let given = Given { bakery, book: &book, clock: &clock };
    batches::fill(&given, &mut plan, MadeStock::none(), until)?;
    Ok(plan)
}

impl Batch {
    /// All that made stock spares it.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn credit(&self) -> Result<Ratio, Overflow> {
        self.from_stock.iter().try_fold(Ratio::ZERO, |sum, taken| sum.plus(taken.credit))
    }
}

impl Plan {
    /// The last need of all: up to there things go out of date.
    #[must_use]
    pub fn end(&self) -> Option<jiff::Timestamp> {
        self.needs.last().map(|need| need.at)
    }

    /// The batch of an item for a service date; its first mix, if there are several.
    #[must_use]
    pub fn batch(&self, service_date: Date, item: u32) -> Option<&Batch> {
        self.batch_of.get(&(service_date, item)).map(|&at| &*self.batches[at as usize])
    }

    /// All mixes of an item for a service date, in order.
    pub fn mixes(&self, service_date: Date, item: u32) -> impl Iterator<Item = &Batch> {
        let first = self.batch_of.get(&(service_date, item)).map(|&at| at as usize);
        let from = first.map_or(&[][..], |at| &self.batches[at..]);
        from.iter()
            .map(|batch| &**batch)
            .take_while(move |batch| (batch.service_date, batch.item) == (service_date, item))
    }

    /// The stock of an item, if anything of it is needed.
    #[must_use]
    pub fn stock_of(&self, item: u32) -> Option<&ItemStock> {
        let at = self.stock.binary_search_by_key(&item, |stock| stock.item).ok()?;
        Some(&self.stock[at])
    }

    /// Start pieces of a product for a service date.
    #[must_use]
    pub fn start_of(&self, service_date: Date, product: u32) -> i64 {
        self.demand.of(service_date, product).map_or(0, |line| line.start)
    }

    /// Drops of the products that are divided from a dough.
    pub(self) fn drops_on<'a>(
        &'a self,
        bakery: &'a Bakery,
        service_date: Date,
        dough: u32,
    ) -> impl Iterator<Item = &'a DropLine> {
        let from = self.drops.partition_point(|drop| drop.service_date < service_date);
        let of_date = self.drops[from..].iter();
        let recipes = bakery.recipes(service_date);
        of_date
            .take_while(move |drop| drop.service_date == service_date)
            .filter(move |drop| recipes.dough_of(drop.product) == Some(dough))
    }

    /// A group's weighed lines beside the recipe's.
    pub fn lines_of<'a>(
        &'a self,
        bakery: &'a Bakery,
        batch: &Batch,
        group: &'a BatchGroup,
    ) -> impl Iterator<Item = (&'a RecipeLine, &'a WeighedLine)> {
        let recipes = bakery.recipes(batch.service_date);
        let recipe: &Recipe = &recipes.recipes[batch.recipe as usize];
        recipes.lines_of(recipe).iter().zip(&group.lines)
    }

    /// Notes what was decided, product by product, and what was signed for.
    fn note_decided(&mut self, bakery: &Bakery, book: &Book) {
        let mut found: BTreeMap<(Date, u32, String), (i64, i64)> = BTreeMap::new();
        for cap in book.caps.iter().filter(|cap| cap.cuts()) {
            let Some(product) = bakery.index().product(cap.product.as_str()) else { continue };
            if self.dates.contains(&cap.service_date) {
                let by = format!("{}: {}", cap.who, cap.note);
                let sum = found.entry((cap.service_date, product, by)).or_default();
                *sum = (sum.0.saturating_add(cap.asked), sum.1.saturating_add(cap.pieces));
            }
        }
        let lapsed = book.lapsed.iter().map(|(one, why)| (one, Some(why.clone())));
        for (one, lapsed) in book.sign_offs.iter().map(|one| (one, None)).chain(lapsed) {
            if self.dates.contains(&one.service_date) {
                self.findings.push(Finding::Substituted {
                    substitute: one.substitute.clone(),
                    service_date: one.service_date,
                    used_in: one.used_in.clone(),
                    lapsed,
                    by: format!("{}: {}", one.who, one.note),
                });
            }
        }
        let decided = |((service_date, product, by), (asked, kept))| Finding::Decided {
            product,
            service_date,
            asked,
            kept,
            by,
        };
        self.findings.extend(found.into_iter().map(decided));
    }

    fn note_unknown(&mut self, placed: &Placed) {
        let unknown = placed.unknown.iter().cloned();
        let found = |(product, customer)| Finding::UnknownInOrder { product, customer };
        self.findings.extend(unknown.map(found));
    }
}
