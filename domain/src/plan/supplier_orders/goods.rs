//! One item at its supplier's desk: its needs, its lots, its pack, and what an order brings.

use super::{
    super::{Plan, ShortageError, pack_holds, shortages::safety_micro, stock},
    SupplierOrderLine,
};
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::{add_minutes, last_second},
    net::{NetInput, NetLot, NetNeed},
    purchase::Arrival,
    ratio::{Overflow, Ratio},
    supplier::{Pack, Supplier},
};
use jiff::Timestamp;

/// One item as its supplier's desk sees it.
pub(super) struct Goods<'a> {
    pub(super) item: u32,
    pub(super) pack_at: u32,
    pub(super) pack: &'a Pack,
    pub(super) holds: Ratio,
    pub(super) safety_micro: i64,
    pub(super) short_life: bool,
    pub(super) ready_after_minutes: i64,
    pub(super) runs_out: Option<Timestamp>,
    pub(super) needs: Vec<NetNeed>,
    pub(super) lots: Vec<NetLot>,
    pub(super) stock: NetInput<'static>,
}

/// What an order brings, as a lot on its way: packs of uneven weight at their least, in
/// date for the life that was agreed.
pub(in crate::plan) fn expected(
    bakery: &Bakery,
    supplier: &Supplier,
    (item, pack, holds): (u32, &Pack, Ratio),
    line: &SupplierOrderLine,
    arrival: Arrival,
) -> Result<NetLot, ShortageError> {
    let zone = &bakery.site().time_zone;
    let received = zone.to_datetime(arrival.arrives).date();
    let micro = holds.times(Ratio::whole(line.packs.into()))?.floor();
    let until = match pack.minimum_life_minutes {
        Some(life) => {
            let last = zone.to_datetime(add_minutes(arrival.arrives, life)?).date();
            Some(last_second(zone, last)?)
        }
        None => None,
    };
    Ok(NetLot {
        name: format!("order {} {received}", supplier.code),
        received,
        micro: i64::try_from(micro).map_err(|_| Overflow)?,
        from: Some(add_minutes(arrival.arrives, bakery.item(item).ready_after_minutes)?),
        until,
        opened: None,
    })
}

impl Goods<'_> {
    /// Whether so many packs beyond what is needed are used within the life that was agreed,
    /// at the average use of the days that are planned.
    pub(super) fn keeps(&self, packs: i64) -> Result<bool, Overflow> {
        let Some(life) = self.pack.minimum_life_minutes else { return Ok(false) };
        let (Some(first), Some(last)) = (self.needs.first(), self.needs.last()) else {
            return Ok(false);
        };
        let used: i64 = self.needs.iter().map(|need| need.micro).sum();
        let minutes = last.at.duration_since(first.at).as_mins().max(24 * 60);
        let in_life = Ratio::new(i128::from(used), i128::from(minutes))?;
        let over = self.holds.times(Ratio::whole(packs.into()))?;
        Ok(in_life.times(Ratio::whole(life.into()))? >= over)
    }

    /// What is wanted of the last whole pack of a line, in millionths.
    pub(super) fn part_of_last(&self, line: &SupplierOrderLine) -> Result<i64, Overflow> {
        let before = self.holds.times(Ratio::whole((line.packs - 1).into()))?;
        let part = Ratio::whole(line.quantity.order_micro.into()).minus(before)?.ceil();
        i64::try_from(part).map_err(|_| Overflow)
    }
}

impl<'a> Goods<'a> {
    /// An item that is stocked and needed, or of which some should be left.
    pub(super) fn of(
        bakery: &Bakery,
        book: &Book,
        plan: &Plan,
        item: u32,
        (pack_at, pack): (u32, &'a Pack),
        now: Timestamp,
    ) -> Result<Option<Self>, ShortageError> {
        let found = bakery.item(item);
        let stock = plan.stock_of(item);
        let holds = pack_holds(bakery, item, pack)?.filter(|&holds| holds.is_positive());
        let (true, Some(holds)) = (found.stocked, holds) else { return Ok(None) };
        let runs_out = stock.and_then(|stock| stock.netting.first_short.map(|at| stock.needs[at]));
        Ok(Some(Self {
            item,
            pack_at,
            pack,
            holds,
            safety_micro: safety_micro(bakery, plan, item)?,
            short_life: found.short_life,
            runs_out: runs_out.map(|at| plan.needs[at as usize].at),
            ready_after_minutes: found.ready_after_minutes,
            needs: stock.map_or_else(Vec::new, |stock| stock::net_needs(plan, &stock.needs)),
            lots: stock::shelves(bakery, book, plan, item, now)?.usable,
            stock: NetInput {
                needs: &[],
                lots: &[],
                as_of: book.stands_at(&found.code, now),
                end: plan.end(),
                opened_life_minutes: found.opened_life_minutes,
                inner_micro: stock::inner(bakery, item)?,
            },
        }))
    }
}
