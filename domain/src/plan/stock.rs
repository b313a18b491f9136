//! Needs against lots, item by item.

mod change;
mod use_by;

pub(super) use change::change;

use super::{
    Need, Plan, PlanError, made_stock,
    reserve::{reserved, restore},
};
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::{self, OutOfCalendar},
    lot::{Lot, LotState, LotUse},
    net::{NetInput, NetLot, NetNeed, Netting, net},
    ratio::{Overflow, Ratio},
    supplier::Pack,
};
use jiff::Timestamp;
use std::sync::Arc;

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
    pub netting: Arc<Netting>,
}

pub(super) fn fill(
    bakery: &Bakery,
    book: &Book,
    plan: &mut Plan,
    now: Timestamp,
) -> Result<(), PlanError> {
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
        let shelves = shelve(bakery, book, plan, there, now)?;
        let stock = of_item((bakery, book, now), plan, item, (needs, shelves))?;
        plan.stock.push(stock);
    }
    use_by::note(bakery, book, plan);
    Ok(())
}

/// The stock of one item against its needs, from positions of its needs and its lots in order.
fn of_item(
    (bakery, book, now): (&Bakery, &Book, Timestamp),
    plan: &Plan,
    item: u32,
    (needs, shelves): (Vec<u32>, Shelves),
) -> Result<ItemStock, PlanError> {
    let Shelves { mut usable, lots, held } = shelves;
    let mut wanted = net_needs(plan, &needs);
    let found = bakery.item(item);
    let kept = reserved(bakery, book, plan, (&needs, &lots)).reserve(&mut wanted, &mut usable);
    let input = NetInput {
        needs: &wanted,
        lots: &usable,
        as_of: book.stands_at(&found.code, now),
        end: plan.end(),
        opened_life_minutes: found.opened_life_minutes,
        inner_micro: inner(bakery, item)?,
    };
    let mut netting = if bakery.site().use_by_strict {
        let needs: Vec<&Need> = needs.iter().map(|&at| &plan.needs[at as usize]).collect();
        let held: Vec<&Lot> = lots.iter().map(|line| &book.lots[line.lot as usize]).collect();
        use_by::strict(input, &needs, &held)?
    } else {
        net(input)?
    };
    restore(&mut netting, kept);
    Ok(ItemStock { item, needs, lots, held, netting: Arc::new(netting) })
}

/// The lots of one item, in a stated order.
pub(super) struct Shelves {
    /// Those that may be used, as netting sees them.
    pub usable: Vec<NetLot>,
    lots: Vec<StockLine>,
    held: Vec<StockLine>,
}

/// The lots of an item that the plan need not use.
pub(super) fn shelves(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    item: u32,
    now: Timestamp,
) -> Result<Shelves, OutOfCalendar> {
    let code = &bakery.item(item).code;
    let there = (0_u32..).zip(&book.lots).filter(|(_, lot)| lot.item == *code);
    shelve(bakery, book, plan, there.map(|(at, _)| at).collect(), now)
}

fn shelve(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    mut there: Vec<u32>,
    now: Timestamp,
) -> Result<Shelves, OutOfCalendar> {
    let mut shelves = Shelves { usable: Vec::new(), lots: Vec::new(), held: Vec::new() };
    there.sort_by_key(|&at| book.lots[at as usize].rank());
    for at in there {
        let lot = &book.lots[at as usize];
        if lot.state.is_kept_back() {
            shelves.held.push(StockLine { lot: at });
        } else if lot.usage == LotUse::Any {
            shelves.usable.push(net_lot(bakery, book, plan, at, now)?);
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

/// What batches take of a made lot before new is made, in millionths of its base unit.
fn used_micro(plan: &Plan, lot: u32) -> i64 {
    let taken = plan.batches.iter().flat_map(|batch| &batch.from_stock);
    taken.filter(|taken| taken.lot == lot).map(|taken| taken.used_micro).sum()
}

/// A lot of the book as netting sees it: less what goes before new is made, of the right age
/// for what draws it, and thawed.
pub(super) fn net_lot(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    at: u32,
    now: Timestamp,
) -> Result<NetLot, OutOfCalendar> {
    let lot = &book.lots[at as usize];
    let aged = made_stock::draw_window(bakery, lot)?;
    let ends = [lot_end(bakery, lot)?, aged.and_then(|aged| aged.last)];
    // What is expected or thaws at no stated moment cannot be counted on.
    let from = match (lot.state, lot.arrives) {
        (LotState::Expected | LotState::Thawing, None) => Some(Timestamp::MAX),
        (_, arrives) => arrives,
    };
    let ready = from.max(aged.map(|aged| aged.ready)).max(thawed_at(bakery, lot, now)?);
    Ok(NetLot {
        name: lot.name.clone(),
        received: lot.received,
        // Only a lot of known age goes before new is made.
        micro: lot.balance_micro - lot.made_at.map_or(0, |_| used_micro(plan, at)),
        from: ready,
        until: ends.into_iter().flatten().min(),
        opened: lot.opened,
    })
}

/// What a lot itself says of its end: the last second of its date, or its last instant.
///
/// # Errors
/// [`OutOfCalendar`]
pub(super) fn lot_end(bakery: &Bakery, lot: &Lot) -> Result<Option<Timestamp>, OutOfCalendar> {
    let zone = &bakery.site().time_zone;
    let dated = lot.date.map(|date| calendar::last_second(zone, date)).transpose()?;
    Ok(dated.into_iter().chain(lot.usable_until).min())
}

/// When a frozen lot is thawed, if it is taken out now or was taken out before; none if
/// it is not frozen.
fn thawed_at(
    bakery: &Bakery,
    lot: &Lot,
    now: Timestamp,
) -> Result<Option<Timestamp>, OutOfCalendar> {
    let out_at = lot.thaw_started.or_else(|| bakery.is_frozen(lot).then_some(now));
    let item = bakery.index().item(lot.item.as_str());
    let minutes = item.map_or(0, |item| bakery.item(item).ready_after_minutes);
    out_at.map(|at| calendar::add_minutes(at, minutes)).transpose()
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
    bakery.item(item).in_base_unit(quantity)
}

/// What a whole pack holds in millionths of its item's base unit.
///
/// # Errors
/// [`Overflow`]
pub fn pack_holds(bakery: &Bakery, item: u32, pack: &Pack) -> Result<Option<Ratio>, Overflow> {
    let low = pack.catch_weight.map_or(pack.holds, |(low, _)| low);
    in_base_unit(bakery, item, low)
}
