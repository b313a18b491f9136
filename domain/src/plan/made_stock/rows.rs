//! Every made lot with its age: ready, not ready, or STOP and what can be done about it.

use super::{CreditAsk, LotWindow, made_instants, window};
use crate::{
    bakery::{Bakery, Recipes},
    book::Book,
    calendar::{OutOfCalendar, add_minutes},
    lot::{Lot, LotUse},
    plan::{Batch, NeedUser, Plan},
    ratio::{Overflow, Ratio},
};
use jiff::{Timestamp, civil::Date};
use std::{
    collections::{BTreeMap, btree_map::Entry},
    sync::Arc,
};

/// Whether a made lot may be used at an instant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MadeState {
    /// It is too young.
    NotReady,
    /// It may be used.
    Ready,
    /// It is over its age: it must not be used.
    Stop,
    /// It is on hold: it must not be used.
    Hold,
    /// Nobody wrote down when it was made.
    Unknown,
}

/// What can be done with a made lot that cannot be used as it was meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lever {
    /// It may still go into another dough, up to its limit.
    OldDough {
        /// Position of the item that takes it.
        item: u32,
        /// Until when.
        until: Timestamp,
        /// Most of it in percent of the new flour, if there is a limit.
        most_percent: Option<Ratio>,
        /// What the mixes of it that are planned by then may take, in micrograms: at most its
        /// limit of their new flour, and no more than there is.
        takes_ug: Ratio,
    },
    /// It may still be the seed of its own next build.
    Seed {
        /// Until when, if its life is stated.
        until: Option<Timestamp>,
    },
    /// Its best-before date is past: a named person may accept it to a last day.
    Accept,
    /// Write it off as waste.
    Waste,
    /// Write down when it was made.
    SayWhenMade,
}

/// One made lot in the house, seen at one instant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MadeLotRow {
    /// Position of the lot in the book.
    pub lot: u32,
    /// Position of the item.
    pub item: u32,
    /// The instant at which it is judged: of its use, or now.
    pub at: Timestamp,
    /// When it may be used; none if nobody knows when it was made.
    pub window: Option<LotWindow>,
    /// At its best from then on, if the formula says so.
    pub best: Option<Timestamp>,
    /// Whether it may be used then.
    pub state: MadeState,
    /// What batches take of it, in micrograms.
    pub used_ug: i64,
    /// What that spares.
    pub credit: Ratio,
    /// Service dates and items of the batches that take it before new is made.
    pub used_for: Vec<(Date, u32)>,
    /// Service dates and items of the batches that it goes into, as seed or old dough.
    pub goes_into: Vec<(Date, u32)>,
    /// What can be done if it is not used as it was meant.
    pub levers: Vec<Lever>,
}

/// Why there are no rows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum MadeLotError {
    /// The numbers are too large.
    #[error(transparent)]
    Overflow(#[from] Overflow),
    /// A date beyond all calendars.
    #[error(transparent)]
    OutOfCalendar(#[from] OutOfCalendar),
}

/// Made lots in the house, as listed in the book.
///
/// With a service date: those of what is made for it, judged when it takes them. Without:
/// all, judged now.
///
/// # Errors
/// [`MadeLotError`]
pub fn made_lots(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    now: Timestamp,
    service_date: Option<Date>,
) -> Result<Vec<MadeLotRow>, MadeLotError> {
    let today = bakery.site().time_zone.to_datetime(now).date();
    let recipes = bakery.recipes(service_date.unwrap_or(today));
    let made = made_instants(plan);
    let mut rows = Vec::new();
    for (position, item, lot) in kept(bakery, book, recipes) {
        let uses = match service_date {
            None => vec![now],
            Some(date) => match plan.batch(date, item) {
                Some(batch) => uses(bakery, plan, &made, batch)?,
                None => continue,
            },
        };
        if !uses.is_empty() {
            let seen = Seen { bakery, plan, now, service_date };
            rows.push(seen.row(position, item, lot, &uses)?);
        }
    }
    Ok(rows)
}

/// Made lots that are over their age where the work of a date would take them, judged there.
///
/// Only what is taken from `now` on counts; what still goes somewhere else as seed or old
/// dough is not among them.
///
/// # Errors
/// [`MadeLotError`]
pub fn over_age(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    now: Timestamp,
    work_date: Date,
) -> Result<Vec<MadeLotRow>, MadeLotError> {
    let zone = &bakery.site().time_zone;
    let recipes = bakery.recipes(zone.to_datetime(now).date());
    let made = made_instants(plan);
    let seen = Seen { bakery, plan, now, service_date: None };
    let mut taken: BTreeMap<u32, Vec<Timestamp>> = BTreeMap::new();
    let mut rows = Vec::new();
    for (position, item, lot) in kept(bakery, book, recipes) {
        let uses = match taken.entry(item) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(new) => {
                let mut uses = seen.taken(&made, item)?;
                uses.retain(|&at| at >= now && zone.to_datetime(at).date() == work_date);
                uses.sort_unstable();
                new.insert(uses)
            }
        };
        if uses.is_empty() {
            continue;
        }
        let row = seen.row(position, item, lot, uses)?;
        if row.state == MadeState::Stop && row.goes_into.is_empty() {
            rows.push(row);
        }
    }
    Ok(rows)
}

/// Lots of which there is some and that a recipe makes: place in the book, item and lot.
fn kept<'a>(
    bakery: &'a Bakery,
    book: &'a Book,
    recipes: &'a Recipes,
) -> impl Iterator<Item = (u32, u32, &'a Lot)> {
    (0_u32..).zip(&book.lots).filter_map(move |(position, lot)| {
        let item = bakery.index().item(lot.item.as_str())?;
        let made = recipes.of_item(item).is_some();
        let there = lot.balance_micro > 0 && lot.usage == LotUse::Any;
        (made && there).then_some((position, item, lot))
    })
}

/// When a batch's users take of it.
fn uses(
    bakery: &Bakery,
    plan: &Plan,
    made: &BTreeMap<(Date, u32), Timestamp>,
    batch: &Batch,
) -> Result<Vec<Timestamp>, Overflow> {
    let recipes = bakery.recipes(batch.service_date);
    let mut start_of = vec![0; bakery.lists().products.len()];
    for line in plan.demand.pieces.iter().filter(|line| line.service_date == batch.service_date) {
        start_of[line.product as usize] = line.start;
    }
    let ask = CreditAsk {
        bakery,
        recipes,
        recipe: &recipes.recipes[batch.recipe as usize],
        service_date: batch.service_date,
        mix: batch.mix,
        asked: &batch.asked,
        start_of: &start_of,
    };
    Ok(ask.uses(made)?.into_iter().map(|(at, _)| at).collect())
}

struct Seen<'a> {
    bakery: &'a Bakery,
    plan: &'a Plan,
    now: Timestamp,
    service_date: Option<Date>,
}

impl Seen<'_> {
    /// When anything of a kind is taken: by the users of its batches, or as seed or old dough.
    fn taken(
        &self,
        made: &BTreeMap<(Date, u32), Timestamp>,
        item: u32,
    ) -> Result<Vec<Timestamp>, Overflow> {
        let mut at = Vec::new();
        for batch in self.plan.batches.iter().filter(|batch| batch.item == item) {
            at.extend(uses(self.bakery, self.plan, made, batch)?);
        }
        let drawn = self.plan.stock.iter().filter(|stock| stock.item == item);
        let drawn = drawn.flat_map(|stock| &stock.needs);
        at.extend(drawn.map(|&need| self.plan.needs[need as usize].at));
        Ok(at)
    }

    fn row(
        &self,
        position: u32,
        item: u32,
        lot: &Lot,
        uses: &[Timestamp],
    ) -> Result<MadeLotRow, MadeLotError> {
        let today = self.bakery.site().time_zone.to_datetime(self.now).date();
        let recipes = self.bakery.recipes(self.service_date.unwrap_or(today));
        let Some(at) = recipes.of_item(item) else { return Err(OutOfCalendar.into()) };
        let recipe = &recipes.recipes[at];
        let found = match lot.made_at {
            Some(made_at) => Some(window(self.bakery, recipe, lot, made_at)?),
            None => None,
        };
        let best = match (self.bakery.formula_of(recipe).keeping.best_age_minutes, lot.made_at) {
            (Some(minutes), Some(made_at)) => Some(add_minutes(made_at, minutes)?),
            _ => None,
        };
        let mut row = MadeLotRow {
            lot: position,
            item,
            at: judged_at(found, uses, self.now),
            window: found,
            best,
            state: MadeState::Unknown,
            used_ug: 0,
            credit: Ratio::ZERO,
            used_for: Vec::new(),
            goes_into: Vec::new(),
            levers: Vec::new(),
        };
        let ends = (found.map(|found| found.ready), found.and_then(|found| found.last));
        row.state = state(lot, ends, row.at);
        self.add_used(&mut row)?;
        self.add_draws(&mut row);
        row.levers = self.levers(&row, lot)?;
        Ok(row)
    }

    fn add_used(&self, row: &mut MadeLotRow) -> Result<(), Overflow> {
        let dated = |batch: &&Arc<Batch>| {
            batch.item == row.item
                && self.service_date.is_none_or(|date| date == batch.service_date)
        };
        for batch in self.plan.batches.iter().filter(dated) {
            for taken in batch.from_stock.iter().filter(|taken| taken.lot == row.lot) {
                row.used_ug = row.used_ug.checked_add(taken.used_ug).ok_or(Overflow)?;
                row.credit = row.credit.plus(taken.credit)?;
                if !row.used_for.contains(&(batch.service_date, batch.item)) {
                    row.used_for.push((batch.service_date, batch.item));
                }
            }
        }
        Ok(())
    }

    /// What it is drawn for as the seed of its kind, or as old dough.
    fn add_draws(&self, row: &mut MadeLotRow) {
        for stock in self.plan.stock.iter().filter(|stock| stock.item == row.item) {
            for (&need, allocation) in stock.needs.iter().zip(&stock.netting.allocations) {
                let need = &self.plan.needs[need as usize];
                let taken = allocation.from.iter().any(|&(lot, _)| stock.lots[lot].lot == row.lot);
                let NeedUser::Formula(user) = need.user else { continue };
                let into = (need.service_date, user);
                let asked = self.service_date.is_none_or(|date| date == need.service_date);
                if taken && asked && !row.goes_into.contains(&into) {
                    row.goes_into.push(into);
                }
            }
        }
    }

    /// What can be done with a lot that is over its age, or of unknown age.
    fn levers(&self, row: &MadeLotRow, lot: &Lot) -> Result<Vec<Lever>, MadeLotError> {
        match (row.state, lot.made_at) {
            (MadeState::Unknown, _) => Ok(vec![Lever::SayWhenMade]),
            (MadeState::Stop, Some(made_at)) => {
                let mut levers = self.second_uses(lot, made_at)?;
                if past_best_before(self.bakery, lot, row.at) {
                    levers.push(Lever::Accept);
                }
                // What a build still takes as its seed is no waste.
                if row.goes_into.is_empty() {
                    levers.push(Lever::Waste);
                }
                Ok(levers)
            }
            _ => Ok(Vec::new()),
        }
    }

    fn second_uses(&self, lot: &Lot, made_at: Timestamp) -> Result<Vec<Lever>, MadeLotError> {
        let mut levers = Vec::new();
        let recipes = self.bakery.recipes(self.service_date.unwrap_or(Date::MAX));
        for recipe in &recipes.recipes {
            let formula = self.bakery.formula_of(recipe);
            let lines = formula.lines.iter();
            for line in lines.filter(|line| line.previous_batch && line.item == lot.item) {
                if formula.code == lot.item {
                    let life = formula.keeping.seed_life_minutes;
                    let until = life.map(|life| add_minutes(made_at, life)).transpose()?;
                    if until.is_none_or(|until| until >= self.now) {
                        levers.push(Lever::Seed { until });
                    }
                } else if let Some(old) = line.old_dough {
                    let (least, most) = old.age_minutes;
                    let from = add_minutes(made_at, least)?.max(self.now);
                    let until = add_minutes(made_at, most)?;
                    if until >= self.now {
                        let (item, most_percent) = (recipe.item, old.most_percent);
                        let there = self.bakery.index().item(lot.item.as_str());
                        let grams =
                            there.and_then(|own| self.bakery.item(own).grams_per_base_unit());
                        let all = Ratio::whole(lot.balance_micro.into())
                            .times(grams.unwrap_or(Ratio::ZERO))?;
                        let room = self.old_dough_room(item, (from, until), most_percent)?;
                        let takes_ug = room.map_or(all, |room| room.min(all));
                        levers.push(Lever::OldDough { item, until, most_percent, takes_ug });
                    }
                }
            }
        }
        Ok(levers)
    }

    /// What the mixes of a formula in some time may take of old dough, in micrograms; none if
    /// they are mixed and nobody set a limit.
    fn old_dough_room(
        &self,
        item: u32,
        (from, until): (Timestamp, Timestamp),
        most_percent: Option<Ratio>,
    ) -> Result<Option<Ratio>, Overflow> {
        let mut flour = Ratio::ZERO;
        let mut mixed = false;
        for batch in self.plan.batches.iter().filter(|batch| batch.item == item) {
            if !batch.made_at.is_some_and(|at| (from..=until).contains(&at)) {
                continue;
            }
            for group in &batch.groups {
                mixed = true;
                let lines = self.plan.lines_of(self.bakery, batch, group);
                for (_, weighed) in lines.filter(|(line, _)| line.flags.flour()) {
                    let ug = weighed.micro.checked_mul(group.group.loads).ok_or(Overflow)?;
                    flour = flour.plus(Ratio::whole(ug.into()))?;
                }
            }
        }
        match most_percent {
            Some(most) => Ok(Some(flour.times(most)?.over(Ratio::whole(100))?)),
            None if mixed => Ok(None),
            None => Ok(Some(Ratio::ZERO)),
        }
    }
}

/// Whether a lot's best-before date is past at an instant; a use-by is another matter.
pub(super) fn past_best_before(bakery: &Bakery, lot: &Lot, at: Timestamp) -> bool {
    let day = bakery.site().time_zone.to_datetime(at).date();
    !lot.date_is_use_by && lot.date.is_some_and(|date| date < day)
}

/// The first use at which the lot is of the right age; else the first use.
fn judged_at(window: Option<LotWindow>, uses: &[Timestamp], now: Timestamp) -> Timestamp {
    let fits = |at: &&Timestamp| window.is_some_and(|window| window.holds(**at));
    uses.iter().find(fits).or(uses.first()).copied().unwrap_or(now)
}

/// Whether a lot may be used at an instant, of which may be known from and until when it may.
pub(super) fn state(
    lot: &Lot,
    (ready, last): (Option<Timestamp>, Option<Timestamp>),
    at: Timestamp,
) -> MadeState {
    if lot.state.is_kept_back() {
        return MadeState::Hold;
    }
    if last.is_some_and(|last| at > last) {
        return MadeState::Stop;
    }
    match ready {
        None => MadeState::Unknown,
        Some(ready) if at < ready => MadeState::NotReady,
        Some(_) => MadeState::Ready,
    }
}
