//! What is frozen and can no longer thaw in time: said, not pulled.

use super::{PickError, PickOf};
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::add_minutes,
    lot::{Lot, LotUse},
    plan::{Need, Plan},
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};

/// A need that frozen stock would cover if it had been taken out in time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CannotLine {
    /// What is frozen.
    pub of: PickOf,
    /// What is not covered, in millionths of its base unit.
    pub micro: i64,
    /// Positions in the book of the frozen lots.
    pub lots: Vec<u32>,
    /// Minutes that it thaws.
    pub minutes: i64,
    /// When it is needed.
    pub at: Timestamp,
    /// When it had to be out for that.
    pub out_by: Timestamp,
    /// When it is thawed if it is taken out now.
    pub next: Timestamp,
    /// Positions of the needs behind it in [`Plan::needs`].
    pub needs: Vec<u32>,
    /// Service dates whose orders of a product it cannot cover.
    pub service_dates: Vec<Date>,
}

/// Said on the list of today, and on that of the day on which it is needed.
pub(super) fn cannot(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    now: Timestamp,
    work_date: Date,
) -> Result<Vec<CannotLine>, PickError> {
    let day = |at: Timestamp| bakery.site().time_zone.to_datetime(at).date();
    let mut lines = items(bakery, book, plan, now)?;
    lines.extend(products(bakery, book, plan, now)?);
    lines.retain(|line| day(now) == work_date || day(line.at) == work_date);
    lines.sort_by_key(|line| (line.at, line.of));
    Ok(lines)
}

fn frozen<'a>(
    bakery: &'a Bakery,
    book: &'a Book,
    wanted: impl Fn(&Lot) -> bool,
) -> impl Iterator<Item = (u32, &'a Lot)> {
    (0_u32..).zip(&book.lots).filter(move |(_, lot)| {
        let usable = !lot.state.is_kept_back() && lot.usage == LotUse::Any;
        wanted(lot)
            && usable
            && lot.balance_micro > 0
            && lot.thaw_started.is_none()
            && bakery.is_frozen(lot)
    })
}

/// The first need of each item that thaws too late; later ones are added to it.
fn items(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    now: Timestamp,
) -> Result<Vec<CannotLine>, PickError> {
    let mut lines: Vec<CannotLine> = Vec::new();
    for stock in &plan.stock {
        let item = bakery.item(stock.item);
        let minutes = item.ready_after_minutes;
        let next = add_minutes(now, minutes)?;
        let lots: Vec<u32> =
            frozen(bakery, book, |lot| lot.item == item.code).map(|(at, _)| at).collect();
        if lots.is_empty() || minutes == 0 {
            continue;
        }
        let late = stock.needs.iter().zip(&stock.netting.allocations);
        let late = late.filter_map(|(&position, allocation)| {
            let need: &Need = &plan.needs[position as usize];
            let too_late = allocation.unmet_micro > 0 && need.at < next;
            too_late.then_some((position, need, allocation.unmet_micro))
        });
        let mut line: Option<CannotLine> = None;
        for (position, need, unmet_micro) in late {
            let line = match &mut line {
                Some(line) => line,
                none => none.insert(CannotLine {
                    of: PickOf::Item(stock.item),
                    micro: 0,
                    lots: lots.clone(),
                    minutes,
                    at: need.at,
                    out_by: add_minutes(need.at, -minutes)?,
                    next,
                    needs: Vec::new(),
                    service_dates: Vec::new(),
                }),
            };
            line.micro += unmet_micro;
            line.needs.push(position);
            if !line.service_dates.contains(&need.service_date) {
                line.service_dates.push(need.service_date);
            }
        }
        lines.extend(line);
    }
    Ok(lines)
}

/// Orders that frozen pieces would cover, but for the time they thaw.
fn products(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    now: Timestamp,
) -> Result<Vec<CannotLine>, PickError> {
    let zone = &bakery.site().time_zone;
    let mut lines: Vec<CannotLine> = Vec::new();
    for line in plan.demand.pieces.iter().filter(|line| line.asked() > line.from_stock) {
        let product = bakery.product(line.product);
        let minutes = product.thaw_minutes;
        let next = add_minutes(now, minutes)?;
        let lots: Vec<u32> =
            frozen(bakery, book, |lot| lot.item == product.code).map(|(at, _)| at).collect();
        let mut late: Option<(Timestamp, i64)> = None;
        for order in &book.orders {
            if order.service_date != line.service_date || order.product != product.code {
                continue;
            }
            let drop = order.drop.unwrap_or(Time::midnight());
            let drop = crate::calendar::instant(zone, line.service_date, drop)?;
            if drop < next && order.pieces > 0 {
                let (first, pieces) = late.unwrap_or((drop, 0));
                late = Some((first.min(drop), pieces + order.pieces));
            }
        }
        let (Some((at, pieces)), false) = (late, lots.is_empty()) else { continue };
        let pieces = pieces.min(line.asked() - line.from_stock);
        lines.push(CannotLine {
            of: PickOf::Product(line.product),
            micro: pieces.saturating_mul(crate::quantity::MICRO),
            lots,
            minutes,
            at,
            out_by: add_minutes(at, -minutes)?,
            next,
            needs: Vec::new(),
            service_dates: vec![line.service_date],
        });
    }
    Ok(lines)
}
