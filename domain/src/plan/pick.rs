//! What to fetch for a work date: from the cold by when, from the stores by place.

use super::{Plan, in_base_unit};
use crate::{
    bakery::Bakery,
    calendar::{OutOfCalendar, add_minutes},
    equipment::PlaceKind,
    ratio::{Overflow, Ratio},
};
use jiff::{Timestamp, civil::Date};
use std::collections::BTreeMap;

/// One item to fetch from one place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PickLine {
    /// Position of the place; none if the item has none on record.
    pub place: Option<u32>,
    /// Position of the item.
    pub item: u32,
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
    /// Positions of the needs behind it in [`Plan::needs`].
    pub needs: Vec<u32>,
}

/// What to fetch for one work date.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PickList {
    /// From fridge and freezer, by time.
    pub pull: Vec<PickLine>,
    /// From the stores, place by place.
    pub stores: Vec<PickLine>,
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

/// Projects a plan to what is fetched on a local date.
///
/// A need belongs to the date on which it must leave its place, so what has to
/// thaw overnight stands on the list of the evening before.
///
/// # Errors
/// [`PickError`]
pub fn pick(bakery: &Bakery, plan: &Plan, work_date: Date) -> Result<PickList, PickError> {
    let zone = &bakery.site().time_zone;
    let mut lines: BTreeMap<u32, PickLine> = BTreeMap::new();
    for stock in &plan.stock {
        let item = bakery.item(stock.item);
        for (&position, allocation) in stock.needs.iter().zip(&stock.netting.allocations) {
            let need = &plan.needs[position as usize];
            let frozen = place_kind(bakery, stock.item) == Some(PlaceKind::Freezer);
            let thaw = if frozen { item.ready_after_minutes } else { 0 };
            let by = add_minutes(need.at, -thaw)?;
            if zone.to_datetime(by).date() != work_date {
                continue;
            }
            let line = lines.entry(stock.item).or_insert_with(|| PickLine {
                place: item.place.as_ref().and_then(|code| bakery.index().place(code.as_str())),
                item: stock.item,
                micro: 0,
                pack_micro: None,
                packs: 0,
                loose_micro: 0,
                lots: Vec::new(),
                unmet_micro: 0,
                by,
                needs: Vec::new(),
            });
            line.micro = line.micro.checked_add(need.micro).ok_or(Overflow)?;
            line.unmet_micro += allocation.unmet_micro;
            line.by = line.by.min(by);
            line.needs.push(position);
            for &(lot, micro) in &allocation.from {
                let lot = stock.lots[lot].lot;
                match line.lots.iter_mut().find(|(held, _)| *held == lot) {
                    Some((_, sum)) => *sum += micro,
                    None => line.lots.push((lot, micro)),
                }
            }
        }
    }
    let mut list = PickList::default();
    for (item, mut line) in lines {
        count_packs(bakery, &mut line)?;
        match place_kind(bakery, item) {
            Some(PlaceKind::Chiller | PlaceKind::Freezer | PlaceKind::Retarder) => {
                list.pull.push(line);
            }
            _ => list.stores.push(line),
        }
    }
    list.pull.sort_by_key(|line| (line.by, line.place, line.item));
    // Items without a place come last: somebody has to look for them.
    list.stores.sort_by_key(|line| (line.place.unwrap_or(u32::MAX), line.item));
    Ok(list)
}

fn place_kind(bakery: &Bakery, item: u32) -> Option<PlaceKind> {
    let place = bakery.item(item).place.as_ref()?;
    let position = bakery.index().place(place.as_str())?;
    Some(bakery.lists().places[position as usize].kind)
}

/// Whole packs as hands carry them: the inner pack if there is one.
fn count_packs(bakery: &Bakery, line: &mut PickLine) -> Result<(), Overflow> {
    line.loose_micro = line.micro;
    let code = &bakery.item(line.item).code;
    let Some(pack) = bakery.lists().packs.iter().find(|pack| pack.item == *code) else {
        return Ok(());
    };
    let holds = in_base_unit(bakery, line.item, pack.inner.unwrap_or(pack.holds))?;
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
