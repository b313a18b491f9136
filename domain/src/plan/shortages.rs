//! What runs short, when, whom it hits, and until when it can still be ordered.

use super::{ItemStock, Need, NeedUser, Plan, in_base_unit, pack_holds};
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::OutOfCalendar,
    price::in_multiples,
    purchase::{LatestMoment, days_of_cover, latest_moment, whole_packs},
    ratio::{Overflow, Ratio},
};
use jiff::{Timestamp, civil::Date};
use std::collections::{BTreeMap, BTreeSet};

/// How pressing an item is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pressing {
    /// A need is not covered.
    Must,
    /// Only the safety stock is touched.
    TopUp,
    /// All needs are covered and the safety stock stands.
    Covered,
}

/// One ingredient over the horizon.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShortageLine {
    /// Position of the item.
    pub item: u32,
    /// How pressing it is.
    pub pressing: Pressing,
    /// Usable on hand now, in millionths of the base unit.
    pub on_hand_micro: i64,
    /// On its way, in millionths.
    pub on_order_micro: i64,
    /// When what is on its way comes, and how much of it, in millionths.
    pub due: Vec<(Timestamp, i64)>,
    /// The projected balance: what is left from each moment on, in millionths. What nothing
    /// covers takes it below nothing.
    pub balance: Vec<(Timestamp, i64)>,
    /// Needed up to the end of the horizon, in millionths.
    pub needed_micro: i64,
    /// Safety stock, in millionths.
    pub safety_micro: i64,
    /// Sum of all needs that nothing covers, in millionths.
    pub short_micro: i64,
    /// Left after the last need, in millionths.
    pub left_micro: i64,
    /// The first need that is not covered, by position.
    pub runs_out: Option<u32>,
    /// What that need lacks, in millionths.
    pub short_at_that_step_micro: i64,
    /// Open days before it runs out; none if it does not.
    pub days_of_cover: Option<i64>,
    /// Position of the pack it is ordered in: the first listed one that fits.
    pub pack: Option<u32>,
    /// Whole packs that cover the shortage, or the safety stock.
    pub packs: i64,
    /// Until when to order it; none if nobody delivers in time at all.
    pub latest: Option<LatestMoment>,
    /// Products and dates whose orders it hits.
    pub hits: Vec<(Date, u32)>,
    /// Positions in the book of lots on hold that could cover it.
    pub held_lots: Vec<u32>,
    /// What goes out of date before it is used, in millionths.
    pub spoiled_micro: i64,
}

/// Why there are no shortage lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum ShortageError {
    /// The numbers are too large.
    #[error(transparent)]
    Overflow(#[from] Overflow),
    /// A date beyond all calendars.
    #[error(transparent)]
    OutOfCalendar(#[from] OutOfCalendar),
}

/// One line for each stocked item that the plan needs and people buy.
///
/// In order: most pressing first, then by latest moment, then by run-out, then as listed.
///
/// # Errors
/// [`ShortageError`]
pub fn shortages(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    now: Timestamp,
) -> Result<Vec<ShortageLine>, ShortageError> {
    let mut lines = Vec::with_capacity(plan.stock.len());
    for stock in &plan.stock {
        lines.push(line(bakery, book, plan, stock, now)?);
    }
    lines.sort_by_key(|line| {
        let latest = line.latest.map_or(Timestamp::MIN, |latest| latest.cutoff);
        let runs_out = line.runs_out.map(|at| plan.needs[at as usize].at);
        (line.pressing, latest, runs_out, line.item)
    });
    Ok(lines)
}

fn line(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    stock: &ItemStock,
    now: Timestamp,
) -> Result<ShortageLine, ShortageError> {
    let netting = &stock.netting;
    let runs_out = netting.first_short.map(|at| stock.needs[at]);
    let safety_micro = safety_micro(bakery, plan, stock.item)?;
    let left_micro = netting.left_micro;
    let pressing = if netting.short_micro > 0 {
        Pressing::Must
    } else if left_micro < safety_micro {
        Pressing::TopUp
    } else {
        Pressing::Covered
    };
    let (pack, packs) = packs(bakery, stock.item, netting.short_micro, safety_micro - left_micro)?;
    let (on_hand_micro, due) = on_hand(bakery, book, stock, now);
    let on_order_micro = due.iter().map(|&(_, micro)| micro).sum();
    let wanted = |at: u32| -> &Need { &plan.needs[at as usize] };
    Ok(ShortageLine {
        item: stock.item,
        pressing,
        on_hand_micro,
        on_order_micro,
        balance: balance(plan, stock, (now, on_hand_micro), &due),
        due,
        needed_micro: stock.needs.iter().map(|&at| wanted(at).micro).sum(),
        safety_micro,
        short_micro: netting.short_micro,
        left_micro,
        runs_out,
        short_at_that_step_micro: netting
            .first_short
            .map_or(0, |at| netting.allocations[at].unmet_micro),
        days_of_cover: runs_out.map(|at| days_of_cover(bakery.site(), now, wanted(at).at)),
        pack,
        packs,
        latest: match (runs_out, pack) {
            (Some(at), Some(pack)) => latest(bakery, stock.item, pack, now, wanted(at).at)?,
            _ => None,
        },
        hits: hits(plan, stock),
        held_lots: held_lots(book, stock),
        spoiled_micro: netting.spoiled.iter().map(|spoiled| spoiled.micro).sum(),
    })
}

/// Whether an item runs short and no order to anybody on record can still help.
///
/// # Errors
/// [`ShortageError`]
pub fn too_late(
    bakery: &Bakery,
    plan: &Plan,
    item: u32,
    now: Timestamp,
) -> Result<bool, ShortageError> {
    let Some(stock) = plan.stock_of(item) else { return Ok(false) };
    let Some(short) = stock.netting.first_short else { return Ok(false) };
    too_late_for(bakery, item, now, plan.needs[stock.needs[short] as usize].at)
}

/// Products for service dates that wait for a decision: too little of an item goes into them,
/// by position, and no order to anybody on record can still help.
///
/// # Errors
/// [`ShortageError`]
///
/// # Source
/// trade.md 5: UNDECIDED stands at the line, and nothing is picked.
pub fn undecided(
    bakery: &Bakery,
    plan: &Plan,
    now: Timestamp,
) -> Result<BTreeMap<(Date, u32), Vec<u32>>, ShortageError> {
    let mut found: BTreeMap<(Date, u32), Vec<u32>> = BTreeMap::new();
    for stock in &plan.stock {
        if stock.netting.short_micro > 0 && too_late(bakery, plan, stock.item, now)? {
            for hit in hits(plan, stock) {
                found.entry(hit).or_default().push(stock.item);
            }
        }
    }
    Ok(found)
}

/// Whether no order of an item to anybody on record can be there for a step.
pub(super) fn too_late_for(
    bakery: &Bakery,
    item: u32,
    now: Timestamp,
    step: Timestamp,
) -> Result<bool, ShortageError> {
    let Some(pack) = pack_of(bakery, item)? else { return Ok(true) };
    Ok(latest(bakery, item, pack, now, step)?.is_none_or(|latest| latest.gone))
}

/// What should be left of an item, in millionths of its base unit.
///
/// Days of average use are those of the planned needs: by open days from the first to the last.
///
/// # Source
/// trade.md 3, safety stock: by days of average use, or fixed.
pub(super) fn safety_micro(bakery: &Bakery, plan: &Plan, item: u32) -> Result<i64, Overflow> {
    if let Some(days) = bakery.item(item).safety_days {
        return used_in_days(bakery, plan, item, days);
    }
    let Some(quantity) = bakery.item(item).safety_stock else { return Ok(0) };
    let micro = in_base_unit(bakery, item, quantity)?.unwrap_or(Ratio::ZERO);
    i64::try_from(micro.floor()).map_err(|_| Overflow)
}

/// What so many open days use of an item on average, rounded up, in millionths.
fn used_in_days(bakery: &Bakery, plan: &Plan, item: u32, days: i64) -> Result<i64, Overflow> {
    let Some(stock) = plan.stock_of(item) else { return Ok(0) };
    let needs = stock.needs.iter().map(|&at| &plan.needs[at as usize]);
    let (mut sum, mut ends) = (0_i64, None::<(Timestamp, Timestamp)>);
    for need in needs {
        sum = sum.checked_add(need.micro).ok_or(Overflow)?;
        let (first, last) = ends.unwrap_or((need.at, need.at));
        ends = Some((first.min(need.at), last.max(need.at)));
    }
    let Some((first, last)) = ends else { return Ok(0) };
    let site = bakery.site();
    let on_last = i64::from(site.sells_on(site.time_zone.to_datetime(last).date()));
    let open = days_of_cover(site, first, last) + on_last;
    let used = Ratio::new(i128::from(sum) * i128::from(days), open.max(1).into())?;
    i64::try_from(used.ceil()).map_err(|_| Overflow)
}

/// The pack an item is ordered in: the first listed one that may be ordered and holds some.
pub(super) fn pack_of(bakery: &Bakery, item: u32) -> Result<Option<u32>, Overflow> {
    let code = &bakery.item(item).code;
    for (position, pack) in (0_u32..).zip(&bakery.lists().packs) {
        let listed = pack.item == *code && pack.orderable;
        if listed && pack_holds(bakery, item, pack)?.is_some_and(Ratio::is_positive) {
            return Ok(Some(position));
        }
    }
    Ok(None)
}

/// The pack an item is ordered in, and whole packs for what is short or missing of safety.
fn packs(
    bakery: &Bakery,
    item: u32,
    short_micro: i64,
    safety_gap_micro: i64,
) -> Result<(Option<u32>, i64), Overflow> {
    let wanted = short_micro.max(0).saturating_add(safety_gap_micro.max(0));
    let Some(position) = pack_of(bakery, item)? else { return Ok((None, 0)) };
    let pack = &bakery.lists().packs[position as usize];
    let holds = pack_holds(bakery, item, pack)?.unwrap_or(Ratio::ONE);
    Ok((Some(position), in_multiples(whole_packs(wanted, holds)?, pack.multiple)?))
}

/// What is usable now, and what comes when.
fn on_hand(
    bakery: &Bakery,
    book: &Book,
    stock: &ItemStock,
    now: Timestamp,
) -> (i64, Vec<(Timestamp, i64)>) {
    let zone = &bakery.site().time_zone;
    let (mut here, mut due) = (0_i64, Vec::new());
    for lot in stock.lots.iter().map(|line| &book.lots[line.lot as usize]) {
        let micro = lot.balance_micro.max(0);
        let dated = lot.date.and_then(|date| crate::calendar::last_second(zone, date).ok());
        let over = dated.is_some_and(|at| at < now) || lot.usable_until.is_some_and(|at| at < now);
        if let Some(at) = lot.arrives.filter(|&at| at > now) {
            due.push((at, micro));
        } else if !over {
            here = here.saturating_add(micro);
        }
    }
    due.sort_unstable();
    (here, due)
}

/// The balance from now on: down with each need, up with each arrival.
fn balance(
    plan: &Plan,
    stock: &ItemStock,
    now: (Timestamp, i64),
    due: &[(Timestamp, i64)],
) -> Vec<(Timestamp, i64)> {
    let (mut points, mut unmet) = (vec![now], 0_i64);
    let mut coming = due.iter().peekable();
    let netting = &stock.netting;
    let drawn = netting.allocations.iter().zip(&netting.balances);
    for (&need, (allocation, &left)) in stock.needs.iter().zip(drawn) {
        let at = plan.needs[need as usize].at;
        while let Some(&&(comes, micro)) = coming.peek().filter(|&&&(comes, _)| comes <= at) {
            let before = points.last().map_or(0, |&(_, level)| level);
            points.push((comes, before.saturating_add(micro)));
            coming.next();
        }
        unmet = unmet.saturating_add(allocation.unmet_micro);
        points.push((at, left.saturating_sub(unmet)));
    }
    points
}

fn latest(
    bakery: &Bakery,
    item: u32,
    pack: u32,
    now: Timestamp,
    step: Timestamp,
) -> Result<Option<LatestMoment>, OutOfCalendar> {
    let pack = &bakery.lists().packs[pack as usize];
    let Some(supplier) = bakery.index().supplier(pack.supplier.as_str()) else { return Ok(None) };
    let supplier = &bakery.lists().suppliers[supplier as usize];
    let ready_minutes = bakery.item(item).ready_after_minutes;
    latest_moment(bakery.site(), supplier, ready_minutes, now, step)
}

/// Lots on hold, by name.
fn held_lots(book: &Book, stock: &ItemStock) -> Vec<u32> {
    let mut held: Vec<u32> = stock.held.iter().map(|held| held.lot).collect();
    held.sort_by_key(|&at| &book.lots[at as usize].name);
    held
}

/// Products and dates behind the needs that are not covered.
fn hits(plan: &Plan, stock: &ItemStock) -> Vec<(Date, u32)> {
    let mut hit = BTreeSet::new();
    for (&need, allocation) in stock.needs.iter().zip(&stock.netting.allocations) {
        if allocation.unmet_micro > 0 {
            let need = &plan.needs[need as usize];
            users(plan, need.service_date, need.user, &mut hit, &mut BTreeSet::new());
        }
    }
    hit.into_iter().collect()
}

pub(super) fn users(
    plan: &Plan,
    date: Date,
    user: NeedUser,
    hit: &mut BTreeSet<(Date, u32)>,
    seen: &mut BTreeSet<u32>,
) {
    match user {
        NeedUser::Product(product) => {
            hit.insert((date, product));
        }
        NeedUser::Formula(item) => {
            if !seen.insert(item) {
                return;
            }
            for ask in plan.mixes(date, item).flat_map(|batch| &batch.asked) {
                users(plan, date, ask.by.into(), hit, seen);
            }
        }
    }
}
