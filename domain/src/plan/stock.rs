//! Needs against lots, item by item.

use super::{Plan, PlanError};
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::OutOfCalendar,
    lot::{Lot, LotState, LotUse},
    net::{NetInput, NetLot, NetNeed, Netting, net},
    ratio::{Overflow, Ratio},
    shelf_life::{ShelfLife, usable_until},
    supplier::Pack,
};
use jiff::Timestamp;

/// A lot behind a netting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockLine {
    /// Its position in the book.
    pub lot: u32,
}

/// The stock of one item that is needed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ItemStock {
    /// Position of the item.
    pub item: u32,
    /// Positions of its needs in [`Plan::needs`].
    pub needs: Vec<u32>,
    /// The lots that may be used, in the netting's order.
    pub lots: Vec<StockLine>,
    /// Lots that are held and not counted.
    pub held: Vec<StockLine>,
    /// What came of it.
    pub netting: Netting,
}

pub(super) fn fill(
    bakery: &Bakery,
    book: &Book,
    plan: &mut Plan,
    now: Timestamp,
) -> Result<(), PlanError> {
    let end = plan.end();
    let items = bakery.lists().items.len();
    let mut needs_of: Vec<Vec<u32>> = vec![Vec::new(); items];
    for (at, need) in (0_u32..).zip(&plan.needs) {
        needs_of[need.item as usize].push(at);
    }
    let mut lots_of: Vec<Vec<u32>> = vec![Vec::new(); items];
    for (at, lot) in (0_u32..).zip(&book.lots) {
        if let Some(item) = bakery.index().item(lot.item.as_str()) {
            lots_of[item as usize].push(at);
        }
    }
    for ((item, needs), there) in (0_u32..).zip(needs_of).zip(lots_of) {
        if needs.is_empty() {
            continue;
        }
        let Shelves { usable, lots, held } = shelve(bakery, book, there)?;
        let wanted = net_needs(plan, &needs);
        let found = bakery.item(item);
        let netting = net(NetInput {
            needs: &wanted,
            lots: &usable,
            as_of: book.stands_at(&found.code, now),
            end,
            opened_life_minutes: found.opened_life_minutes,
            inner_micro: inner(bakery, item)?,
        })?;
        plan.stock.push(ItemStock { item, needs, lots, held, netting });
    }
    Ok(())
}

/// The lots of one item, in a stated order.
pub(super) struct Shelves {
    /// Those that may be used, as netting sees them.
    pub usable: Vec<NetLot>,
    lots: Vec<StockLine>,
    held: Vec<StockLine>,
}

/// The lots of an item that the plan need not use.
pub(super) fn shelves(bakery: &Bakery, book: &Book, item: u32) -> Result<Shelves, OutOfCalendar> {
    let code = &bakery.item(item).code;
    let there = (0_u32..).zip(&book.lots).filter(|(_, lot)| lot.item == *code);
    shelve(bakery, book, there.map(|(at, _)| at).collect())
}

fn shelve(bakery: &Bakery, book: &Book, mut there: Vec<u32>) -> Result<Shelves, OutOfCalendar> {
    let mut shelves = Shelves { usable: Vec::new(), lots: Vec::new(), held: Vec::new() };
    there.sort_by_key(|&at| {
        let lot = &book.lots[at as usize];
        let printed = (lot.received, lot.name.clone(), lot.date, lot.usable_until);
        let kept = (lot.arrives, lot.opened, lot.baked, lot.state, lot.place.clone());
        (printed, lot.balance_micro, kept)
    });
    for at in there {
        let lot = &book.lots[at as usize];
        if lot.state.is_kept_back() {
            shelves.held.push(StockLine { lot: at });
        } else if lot.usage == LotUse::Any {
            shelves.usable.push(net_lot(bakery, lot)?);
            shelves.lots.push(StockLine { lot: at });
        }
    }
    Ok(shelves)
}

/// Needs of an item as netting sees them.
pub(super) fn net_needs(plan: &Plan, needs: &[u32]) -> Vec<NetNeed> {
    needs
        .iter()
        .map(|&at| &plan.needs[at as usize])
        .map(|need| NetNeed { at: need.at, micro: need.micro })
        .collect()
}

pub(super) fn net_lot(bakery: &Bakery, lot: &Lot) -> Result<NetLot, OutOfCalendar> {
    let printed = ShelfLife {
        use_by: lot.date,
        stated_until: lot.usable_until,
        // The netting opens packs itself, one by one.
        opened_at: None,
        ..ShelfLife::default()
    };
    let until = usable_until(&bakery.site().time_zone, &printed)?.map(|(at, _)| at);
    Ok(NetLot {
        name: lot.name.clone(),
        received: lot.received,
        micro: lot.balance_micro,
        from: match (lot.state, lot.arrives) {
            // What is expected at no stated moment, or is thawed in no stated time, cannot be
            // counted on.
            (LotState::Expected | LotState::Thawing | LotState::Frozen, None) => {
                Some(Timestamp::MAX)
            }
            (_, arrives) => arrives,
        },
        until,
        opened: lot.opened,
    })
}

/// What one inner pack of an item holds in its base unit: of its first listed pack.
pub(super) fn inner(bakery: &Bakery, item: u32) -> Result<Option<i64>, Overflow> {
    let code = &bakery.item(item).code;
    let Some(pack) = bakery.lists().packs.iter().find(|pack| pack.item == *code) else {
        return Ok(None);
    };
    let quantity = pack.inner.unwrap_or(pack.holds);
    let micro = in_base_unit(bakery, item, quantity)?;
    Ok(micro.map(Ratio::floor).and_then(|micro| i64::try_from(micro).ok()).filter(|&m| m > 0))
}

/// A quantity of an item in millionths of its base unit, if it can be converted.
///
/// # Errors
/// [`Overflow`]
pub fn in_base_unit(
    bakery: &Bakery,
    item: u32,
    quantity: crate::quantity::Quantity,
) -> Result<Option<Ratio>, Overflow> {
    let found = bakery.item(item);
    if quantity.unit() == found.base_unit {
        return Ok(Some(quantity.ratio()));
    }
    let (Some(mass), Some(grams)) = (found.mass_ug(quantity)?, found.grams_per_base_unit()) else {
        return Ok(None);
    };
    Ok(Some(mass.over(grams)?))
}

/// What a whole pack holds in millionths of its item's base unit.
///
/// # Errors
/// [`Overflow`]
pub fn pack_holds(bakery: &Bakery, item: u32, pack: &Pack) -> Result<Option<Ratio>, Overflow> {
    let low = pack.catch_weight.map_or(pack.holds, |(low, _)| low);
    in_base_unit(bakery, item, low)
}
