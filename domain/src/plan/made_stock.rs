//! Made stock: dough, levain, custard that is in the house and is used before new is made.
//!
//! A kept dough counts at its divide: what is left of it after scrap comes off what must
//! be mixed for the first service date at whose divide it is neither too young nor too
//! old. Levain, cream and the like count at the instant their user takes them. First
//! expired goes first. Only lots that say when they were made count: an unknown age is
//! never a good one.

mod pieces;
mod rows;
mod window;

pub use pieces::{PieceKind, PieceLotRow, over_age_pieces, piece_lots};
pub use rows::{Lever, MadeLotError, MadeLotRow, MadeState, made_lots, over_age};
use window::divide_at;
pub(super) use window::draw_window;
pub use window::{LotWindow, made_window, window};

use super::{
    Ask, AskedBy, Batch, Plan, PlanError,
    batches::{Given, Seeds},
    times, unstocked,
};
use crate::{
    bakery::{Bakery, CompiledMakeUp, Driver, Recipe, Recipes},
    book::Book,
    calendar,
    demand::Demand,
    demand::PlacedLine,
    formula::Formula,
    lot::{LotState, LotUse},
    ratio::{Overflow, Ratio},
};
use jiff::{Timestamp, civil::Date};
use std::{collections::BTreeMap, sync::Arc};

/// What a batch is spared because a made lot is used first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FromStock {
    /// Position of the lot in the book.
    pub lot: u32,
    /// When it is taken.
    pub at: Timestamp,
    /// What is taken of it, in micrograms.
    pub used_ug: i64,
    /// The same in millionths of its item's base unit.
    pub used_micro: i64,
    /// What that spares after the losses of taking it: micrograms, or batches of what is
    /// made by the batch.
    pub credit: Ratio,
}

/// A made lot while it is handed out.
struct Shelf {
    lot: u32,
    item: u32,
    made_at: Timestamp,
    left_ug: i64,
    /// Grams in one base unit of its item.
    grams: Ratio,
}

impl Shelf {
    fn in_base_unit(&self, ug: i64) -> Result<i64, Overflow> {
        let micro = Ratio::whole(ug.into()).over(self.grams)?.ceil();
        i64::try_from(micro).map_err(|_| Overflow)
    }
}

/// All made lots with a known age, and what each batch takes of them.
pub(super) struct MadeStock<'a> {
    book: Option<&'a Book>,
    now: Timestamp,
    shelves: Vec<Shelf>,
    /// When batches are made that take nothing from stock, by service date and item.
    made: BTreeMap<(Date, u32), Timestamp>,
    /// What each batch takes, by service date, item and mix.
    taken: BTreeMap<(Date, u32, u32), Vec<FromStock>>,
    settled: bool,
}

/// One batch that asks what stock spares it.
pub(super) struct CreditAsk<'s> {
    pub(super) bakery: &'s Bakery,
    pub(super) recipes: &'s Recipes,
    pub(super) recipe: &'s Recipe,
    pub(super) service_date: Date,
    /// Which mix of it, from 1.
    pub(super) mix: u32,
    pub(super) asked: &'s [Ask],
    /// Start pieces of the date, by position of product.
    pub(super) start_of: &'s [i64],
}

impl<'a> MadeStock<'a> {
    /// Nothing is in the house.
    pub(super) const fn none() -> Self {
        Self {
            book: None,
            now: Timestamp::MIN,
            shelves: Vec::new(),
            made: BTreeMap::new(),
            taken: BTreeMap::new(),
            settled: true,
        }
    }

    /// The made lots of a book; needs before `now` are in its figures already.
    pub(super) fn new(
        (given, lines): (&Given<'a>, &[PlacedLine]),
        demand: &Demand,
        dates: &[Date],
        now: Timestamp,
    ) -> Result<Self, PlanError> {
        let Given { bakery, book, clock } = *given;
        let mut shelves = Vec::new();
        let makes = |item| dates.iter().any(|date| bakery.recipes(*date).of_item(item).is_some());
        for (at, lot) in (0_u32..).zip(&book.lots) {
            let Some(made_at) = lot.made_at else { continue };
            let Some(item) = bakery.index().item(lot.item.as_str()) else { continue };
            let usable = !lot.state.is_kept_back() && lot.usage == LotUse::Any;
            let grams = bakery.item(item).grams_per_base_unit().filter(|one| one.is_positive());
            if let (true, Some(grams)) = (usable && makes(item), grams) {
                let mass = Ratio::whole(lot.balance_micro.max(0).into()).times(grams)?;
                let left_ug = i64::try_from(mass.floor()).map_err(|_| Overflow)?;
                shelves.push(Shelf { lot: at, item, made_at, left_ug, grams });
            }
        }
        let settled = shelves.is_empty();
        let (made, taken) = (BTreeMap::new(), BTreeMap::new());
        let mut stock = Self { book: Some(book), now, shelves, made, taken, settled };
        if !settled {
            // Who takes something when, and how much seed, as if nothing was in the house.
            let mut plan = unstocked((given, lines), demand.clone(), dates)?;
            times::fill_batches(clock, book, &mut plan, now)?;
            stock.made = made_instants(&plan);
            stock.keep_seed(&plan)?;
        }
        Ok(stock)
    }

    /// Whether anything is still to be handed out, date by date, earliest first.
    pub(super) const fn is_settled(&self) -> bool {
        self.settled
    }

    /// From now on batches get what was handed out to them.
    pub(super) const fn settle(&mut self) {
        self.settled = true;
    }

    /// Feeds from the levain in the house to the first builds.
    pub(super) fn feed_before_first(
        &self,
        bakery: &Bakery,
        seeds: &mut Seeds,
    ) -> Result<(), PlanError> {
        match self.book {
            Some(book) => seeds.before_first(bakery, book, self.now),
            None => Ok(()),
        }
    }

    /// What stock spares a batch.
    pub(super) fn credit(&mut self, ask: &CreditAsk<'_>) -> Result<Vec<FromStock>, Overflow> {
        let key = (ask.service_date, ask.recipe.item, ask.mix);
        if self.settled {
            return Ok(self.taken.get(&key).cloned().unwrap_or_default());
        }
        if !self.shelves.iter().any(|shelf| shelf.item == ask.recipe.item && shelf.left_ug > 0) {
            return Ok(Vec::new());
        }
        let Some(book) = self.book else { return Ok(Vec::new()) };
        // What was taken before the figures stand for is out of them already.
        let stands_at = book.stands_at(&ask.bakery.item(ask.recipe.item).code, self.now);
        let mut found = Vec::new();
        for (at, amount) in ask.uses(&self.made)? {
            if at >= stands_at {
                self.draw(ask, at, amount, &mut found)?;
            }
        }
        if !found.is_empty() {
            self.taken.insert(key, found.clone());
        }
        Ok(found)
    }

    /// Takes what is needed at an instant from the lots that are of the right age then.
    fn draw(
        &mut self,
        ask: &CreditAsk<'_>,
        at: Timestamp,
        amount: Ratio,
        found: &mut Vec<FromStock>,
    ) -> Result<(), Overflow> {
        let Some(book) = self.book else { return Ok(()) };
        let formula = ask.bakery.formula_of(ask.recipe);
        let left = after_taking(formula)?;
        // What one microgram in stock is worth to the batch.
        let worth = match ask.recipe.driver {
            Driver::Batch { mass_ug: Some(mass), .. } => left.over(mass)?,
            // Nobody knows how many batches a kilogram of it is.
            Driver::Batch { mass_ug: None, .. } => return Ok(()),
            Driver::Mass | Driver::Blocks { .. } => left,
        };
        let mut order = Vec::new();
        for (position, shelf) in self.shelves.iter().enumerate() {
            let lot = &book.lots[shelf.lot as usize];
            if shelf.item != ask.recipe.item || shelf.left_ug <= 0 {
                continue;
            }
            let Ok(window) = window(ask.bakery, ask.recipe, lot, shelf.made_at) else { continue };
            let here =
                lot.state != LotState::Expected || lot.arrives.is_some_and(|arrives| arrives <= at);
            if here && window.holds(at) {
                let last = window.last.unwrap_or(Timestamp::MAX);
                order.push(((last, lot.rank()), position));
            }
        }
        order.sort_by(|a, b| a.0.cmp(&b.0));
        let mut wanted = amount;
        for (_, position) in order {
            if !wanted.is_positive() {
                break;
            }
            let shelf = &mut self.shelves[position];
            let all = Ratio::whole(shelf.left_ug.into()).times(worth)?;
            let (used_ug, credit) = if all <= wanted {
                (shelf.left_ug, all)
            } else {
                let used = wanted.over(worth)?.ceil();
                (i64::try_from(used).map_err(|_| Overflow)?, wanted)
            };
            shelf.left_ug -= used_ug;
            wanted = wanted.minus(credit)?;
            let used_micro = shelf.in_base_unit(used_ug)?;
            found.push(FromStock { lot: shelf.lot, at, used_ug, used_micro, credit });
        }
        Ok(())
    }

    /// Sets aside what the first build of a levain takes of its own kind as seed.
    ///
    /// A levain without seed cannot be built, so its seed goes before any bread.
    fn keep_seed(&mut self, plan: &Plan) -> Result<(), Overflow> {
        let mut seen = Vec::new();
        for batch in plan.batches.iter().filter(|batch| batch.split.loads > 0) {
            if seen.contains(&batch.item) {
                continue;
            }
            seen.push(batch.item);
            let own = batch.issues.iter().find(|one| one.previous_batch && one.item == batch.item);
            let Some(seed) = own else { continue };
            let mut wanted = i64::try_from(seed.micro.ceil()).map_err(|_| Overflow)?;
            let mut shelves: Vec<&mut Shelf> =
                self.shelves.iter_mut().filter(|shelf| shelf.item == batch.item).collect();
            // The youngest is the seed that lives longest.
            let lots = self.book.map_or(&[][..], |book| &book.lots);
            shelves.sort_by_key(|shelf| {
                (std::cmp::Reverse(shelf.made_at), lots[shelf.lot as usize].rank())
            });
            for shelf in shelves {
                let kept = wanted.min(shelf.left_ug).max(0);
                shelf.left_ug -= kept;
                wanted -= kept;
            }
        }
        Ok(())
    }
}

impl CreditAsk<'_> {
    /// When how much is taken: all at its divide, or by each user at its own instant.
    fn uses(
        &self,
        made: &BTreeMap<(Date, u32), Timestamp>,
    ) -> Result<Vec<(Timestamp, Ratio)>, Overflow> {
        if let Some(at) = self.divide_at() {
            let mut all = Ratio::ZERO;
            for ask in self.asked {
                all = all.plus(ask.amount)?;
            }
            return Ok(vec![(at, all)]);
        }
        let mut uses = Vec::new();
        for ask in self.asked {
            let at = match ask.by {
                AskedBy::Formula(user) => made.get(&(self.service_date, user)).copied(),
                AskedBy::Product(product) => self.at_product(product),
            };
            uses.extend(at.map(|at| (at, ask.amount)));
        }
        uses.sort_by_key(|&(at, _)| at);
        Ok(uses)
    }

    fn divide_at(&self) -> Option<Timestamp> {
        let pieces = self.asked.iter().filter_map(|ask| match ask.by {
            AskedBy::Product(product) => self.start_of.get(product as usize),
            AskedBy::Formula(_) => None,
        });
        divide_at(self.bakery, self.recipe, self.service_date, pieces.sum())
    }

    /// When a product takes it; a dough whose divide nobody stated cannot be timed.
    fn at_product(&self, product: u32) -> Option<Timestamp> {
        let item = self.recipe.item;
        if self.recipes.dough_of(product) == Some(item) {
            return None;
        }
        let at = self.recipes.make_up_of(product).iter().find_map(|make_up| match *make_up {
            CompiledMakeUp::Mass { item: taken, at, .. } if taken == item => Some(at),
            _ => None,
        })?;
        calendar::instant_at(&self.bakery.site().time_zone, self.service_date, at).ok()
    }
}

/// When the batches of a plan are made, by service date and item.
fn made_instants(plan: &Plan) -> BTreeMap<(Date, u32), Timestamp> {
    let made = |batch: &Arc<Batch>| Some(((batch.service_date, batch.item), batch.made_at?));
    plan.batches.iter().filter_map(made).collect()
}

/// What stays of a gram that is taken from stock.
///
/// What was lost while it was made is gone already; scrap, trim, pot, deposit and use are
/// lost when it is taken.
///
/// # Errors
/// [`Overflow`]
pub(super) fn after_taking(formula: &Formula) -> Result<Ratio, Overflow> {
    let mut left = Ratio::ONE;
    for loss in &formula.losses {
        if ["scrap", "trim", "pot", "deposit", "use"].contains(&loss.stage.as_str()) {
            left = left.times(loss.percent.left_after_percent()?)?;
        }
    }
    Ok(left)
}
