//! What to fetch for a work date: from the cold by when, from the stores by place.

mod cannot;

pub use cannot::CannotLine;

use super::{
    Plan,
    day_old::{DayOldDraw, DayOldError, day_old},
    in_base_unit,
};
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::{OutOfCalendar, add_minutes},
    equipment::PlaceKind,
    id::Code,
    lot::Lot,
    quantity::MICRO,
    ratio::{Overflow, Ratio},
};
use jiff::{Timestamp, civil::Date};
use std::collections::BTreeMap;

/// What is fetched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PickOf {
    /// An item, by position.
    Item(u32),
    /// Finished pieces of a product, by position.
    Product(u32),
}

/// One thing to fetch from one place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PickLine {
    /// Position of the place; none if there is none on record.
    pub place: Option<u32>,
    /// What is fetched.
    pub of: PickOf,
    /// All of it for the date, in millionths of its base unit.
    pub micro: i64,
    /// What one whole pack holds in millionths, if packs are known.
    pub pack_micro: Option<i64>,
    /// Whole packs.
    pub packs: i64,
    /// Loose on top of them, in millionths.
    pub loose_micro: i64,
    /// Positions of lots in the book and how much of each, in order of use.
    pub lots: Vec<(u32, i64)>,
    /// What no lot covers, in millionths.
    pub unmet_micro: i64,
    /// When the first step needs it, less its thaw or temper time.
    pub by: Timestamp,
    /// When the first step needs it.
    pub at: Timestamp,
    /// Minutes of thawing or tempering that lie between.
    pub minutes: i64,
    /// Whether it is frozen.
    pub frozen: bool,
    /// Positions of the needs behind it in [`Plan::needs`].
    pub needs: Vec<u32>,
    /// Batches that take it before new is made, or products whose orders it covers: their
    /// service date and position.
    pub taken_by: Vec<(Date, PickOf)>,
    /// Pieces of an earlier bake that others take: for whom, and from which bake.
    pub day_old: Vec<DayOldDraw>,
}

/// What to fetch for one work date.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PickList {
    /// From fridge and freezer, by time.
    pub pull: Vec<PickLine>,
    /// From the stores, place by place.
    pub stores: Vec<PickLine>,
    /// What is frozen and can no longer thaw in time.
    pub cannot: Vec<CannotLine>,
}

/// Why there is no pick list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PickError {
    /// The numbers are too large.
    #[error(transparent)]
    Overflow(#[from] Overflow),
    /// A date beyond all calendars.
    #[error(transparent)]
    OutOfCalendar(#[from] OutOfCalendar),
}

impl From<DayOldError> for PickError {
    fn from(error: DayOldError) -> Self {
        match error {
            DayOldError::Overflow(overflow) => overflow.into(),
            DayOldError::OutOfCalendar(beyond) => beyond.into(),
        }
    }
}

/// Projects a plan to what is fetched on a local date.
///
/// A need belongs to the date on which it must leave its place, so what has to
/// thaw overnight stands on the list of the evening before. What had to be out before
/// `now` is on no list: it is said that it cannot be, and when it could.
///
/// # Errors
/// [`PickError`]
pub fn pick(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    now: Timestamp,
    work_date: Date,
) -> Result<PickList, PickError> {
    let mut picking = Picking { bakery, book, plan, work_date, lines: BTreeMap::new() };
    picking.needs()?;
    picking.made_stock()?;
    picking.finished()?;
    picking.day_old()?;
    let mut list = PickList::default();
    for (_, mut line) in picking.lines {
        count_packs(bakery, &mut line)?;
        let kind = line.place.map(|at| bakery.lists().places[at as usize].kind);
        if kind.is_some_and(is_cold) {
            list.pull.push(line);
        } else {
            list.stores.push(line);
        }
    }
    list.pull.sort_by_key(|line| (line.by, line.place, line.of));
    // Things without a place come last: somebody has to look for them.
    list.stores.sort_by_key(|line| (line.place.unwrap_or(u32::MAX), line.of));
    list.cannot = cannot::cannot(bakery, book, plan, now, work_date)?;
    Ok(list)
}

const fn is_cold(kind: PlaceKind) -> bool {
    matches!(kind, PlaceKind::Chiller | PlaceKind::Freezer | PlaceKind::Retarder)
}

/// A part of what is taken at one instant: all from one lot, or from none.
struct Part<'a> {
    of: PickOf,
    lot: Option<(u32, &'a Lot)>,
    micro: i64,
    unmet_micro: i64,
    at: Timestamp,
    minutes: i64,
}

/// Where the lines of one date are added up, by what is fetched and from where.
struct Picking<'a> {
    bakery: &'a Bakery,
    book: &'a Book,
    plan: &'a Plan,
    work_date: Date,
    lines: BTreeMap<(PickOf, Option<u32>), PickLine>,
}

impl<'a> Picking<'a> {
    /// What steps take, lot by lot.
    fn needs(&mut self) -> Result<(), PickError> {
        for stock in &self.plan.stock {
            for (&position, allocation) in stock.needs.iter().zip(&stock.netting.allocations) {
                let need = &self.plan.needs[position as usize];
                let of = PickOf::Item(stock.item);
                let mut left = need.micro;
                for &(lot, micro) in &allocation.from {
                    left -= micro;
                    let lot = self.lot(stock.lots[lot].lot);
                    let minutes = self.out_minutes(stock.item, Some(lot.1));
                    let (lot, unmet_micro) = (Some(lot), 0);
                    let part = Part { of, lot, micro, unmet_micro, at: need.at, minutes };
                    if let Some(line) = self.add(&part)?
                        && !line.needs.contains(&position)
                    {
                        line.needs.push(position);
                    }
                }
                if left > 0 {
                    let minutes = self.out_minutes(stock.item, None);
                    let (lot, unmet_micro) = (None, allocation.unmet_micro);
                    let part = Part { of, lot, micro: left, unmet_micro, at: need.at, minutes };
                    if let Some(line) = self.add(&part)?
                        && !line.needs.contains(&position)
                    {
                        line.needs.push(position);
                    }
                }
            }
        }
        Ok(())
    }

    /// Made lots that are used before new is made.
    fn made_stock(&mut self) -> Result<(), PickError> {
        for batch in &self.plan.batches {
            for taken in &batch.from_stock {
                let lot = self.lot(taken.lot);
                let part = Part {
                    of: PickOf::Item(batch.item),
                    lot: Some(lot),
                    micro: taken.used_micro,
                    unmet_micro: 0,
                    at: taken.at,
                    minutes: self.out_minutes(batch.item, Some(lot.1)),
                };
                let by = (batch.service_date, PickOf::Item(batch.item));
                if let Some(line) = self.add(&part)? {
                    line.taken_by.push(by);
                }
            }
        }
        Ok(())
    }

    /// Frozen pieces that thaw for an order; others are counted out when they are packed.
    fn finished(&mut self) -> Result<(), PickError> {
        for draw in &self.plan.demand.finished {
            let Some(out_by) = draw.out_by else { continue };
            // Par-baked pieces come out when their finish route begins.
            let finishing = self.plan.runs.iter().filter(|run| {
                run.is_finishing()
                    && (run.product, run.service_date) == (draw.product, draw.service_date)
            });
            let begins = finishing.filter_map(|run| run.steps.first()).map(|step| step.start);
            let (out_by, minutes) = match draw.par_baked {
                true => (begins.min().unwrap_or(out_by), 0),
                false => (out_by, self.bakery.product(draw.product).thaw_minutes),
            };
            let part = Part {
                of: PickOf::Product(draw.product),
                lot: Some(self.lot(draw.lot)),
                micro: draw.pieces.checked_mul(MICRO).ok_or(Overflow)?,
                unmet_micro: 0,
                at: add_minutes(out_by, minutes)?,
                minutes,
            };
            if let Some(line) = self.add(&part)? {
                line.taken_by.push((draw.service_date, PickOf::Product(draw.product)));
            }
        }
        Ok(())
    }

    /// Pieces of an earlier bake that go into others, lot by lot.
    fn day_old(&mut self) -> Result<(), PickError> {
        for draw in day_old(self.bakery, self.book, self.plan)? {
            let thaw = self.bakery.product(draw.product).thaw_minutes;
            let lots = draw.from.iter().map(|&(lot, pieces)| (Some(self.lot(lot)), pieces, 0));
            let rest = (None, draw.coming + draw.unmet, draw.unmet);
            let parts: Vec<_> = lots.chain([rest]).filter(|(_, pieces, _)| *pieces > 0).collect();
            for (lot, pieces, unmet) in parts {
                let frozen = lot.is_some_and(|(_, lot)| self.bakery.is_frozen(lot));
                let part = Part {
                    of: PickOf::Product(draw.product),
                    lot,
                    micro: pieces.checked_mul(MICRO).ok_or(Overflow)?,
                    unmet_micro: unmet.checked_mul(MICRO).ok_or(Overflow)?,
                    at: draw.at,
                    minutes: if frozen { thaw } else { 0 },
                };
                let by = (draw.service_date, PickOf::Product(draw.taken_by));
                if let Some(line) = self.add(&part)? {
                    if !line.day_old.contains(&draw) {
                        line.day_old.push(draw.clone());
                    }
                    if !line.taken_by.contains(&by) {
                        line.taken_by.push(by);
                    }
                }
            }
        }
        Ok(())
    }

    fn lot(&self, position: u32) -> (u32, &'a Lot) {
        (position, &self.book.lots[position as usize])
    }

    /// Minutes of thawing or tempering between the place and the step.
    fn out_minutes(&self, item: u32, lot: Option<&Lot>) -> i64 {
        let found = self.bakery.item(item);
        let kind = |code: &Option<Code>| {
            let place = self.bakery.index().place(code.as_ref()?.as_str())?;
            Some(self.bakery.lists().places[place as usize].kind)
        };
        let home = kind(&found.place);
        let here = match lot {
            Some(lot) if lot.thaw_started.is_some() => None,
            Some(lot) => self.bakery.place_of(lot).map(|place| place.kind),
            None => home,
        };
        match here {
            Some(PlaceKind::Freezer) => found.ready_after_minutes,
            // What is usually frozen and lies in the fridge is thawed already.
            Some(kind) if is_cold(kind) && home != Some(PlaceKind::Freezer) => {
                found.ready_after_minutes
            }
            _ => 0,
        }
    }

    /// Adds a part to its line, if it leaves its place on the date.
    fn add(&mut self, part: &Part<'_>) -> Result<Option<&mut PickLine>, PickError> {
        let by = add_minutes(part.at, -part.minutes)?;
        if self.bakery.site().time_zone.to_datetime(by).date() != self.work_date {
            return Ok(None);
        }
        let of_item = |item: u32| self.bakery.item(item).place.as_ref();
        let code = match (part.lot, part.of) {
            (Some((_, lot)), _) if lot.place.is_some() => lot.place.as_ref(),
            (_, PickOf::Item(item)) => of_item(item),
            (_, PickOf::Product(_)) => None,
        };
        let place = code.and_then(|code| self.bakery.index().place(code.as_str()));
        let kind = place.map(|at| self.bakery.lists().places[at as usize].kind);
        let line = self.lines.entry((part.of, place)).or_insert_with(|| PickLine {
            place,
            of: part.of,
            micro: 0,
            pack_micro: None,
            packs: 0,
            loose_micro: 0,
            lots: Vec::new(),
            unmet_micro: 0,
            by,
            at: part.at,
            minutes: part.minutes,
            frozen: kind == Some(PlaceKind::Freezer),
            needs: Vec::new(),
            taken_by: Vec::new(),
            day_old: Vec::new(),
        });
        line.micro = line.micro.checked_add(part.micro).ok_or(Overflow)?;
        line.unmet_micro += part.unmet_micro;
        if by < line.by {
            (line.by, line.at, line.minutes) = (by, part.at, part.minutes);
        }
        if let Some((lot, _)) = part.lot {
            match line.lots.iter_mut().find(|(held, _)| *held == lot) {
                Some((_, sum)) => *sum += part.micro,
                None => line.lots.push((lot, part.micro)),
            }
        }
        Ok(Some(line))
    }
}

/// Whole packs as hands carry them: the inner pack if there is one.
fn count_packs(bakery: &Bakery, line: &mut PickLine) -> Result<(), Overflow> {
    line.loose_micro = line.micro;
    let PickOf::Item(item) = line.of else { return Ok(()) };
    let code = &bakery.item(item).code;
    let Some(pack) = bakery.lists().packs.iter().find(|pack| pack.item == *code) else {
        return Ok(());
    };
    let holds = in_base_unit(bakery, item, pack.inner.unwrap_or(pack.holds))?;
    let Some(holds) = holds.filter(|holds| holds.is_positive() && pack.catch_weight.is_none())
    else {
        return Ok(());
    };
    let packs = Ratio::whole(line.micro.into()).over(holds)?.floor();
    let loose = Ratio::whole(line.micro.into()).minus(holds.times(Ratio::whole(packs))?)?;
    line.pack_micro = i64::try_from(holds.floor()).ok();
    line.packs = i64::try_from(packs).map_err(|_| Overflow)?;
    line.loose_micro = i64::try_from(loose.round_half_up()?).map_err(|_| Overflow)?;
    Ok(())
}
