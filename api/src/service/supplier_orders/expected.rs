//! What is on its way, as a plan counts on it.

use super::{LineBody, SupplierOrder, open};
use crate::{
    service::{Refusal, book::code, plan::refused},
    store::Tx,
};
use domain::{
    bakery::Bakery,
    calendar::{add_minutes, last_second},
    lot::{Lot, LotState, LotUse},
    supplier_order::SupplierOrderState,
};
use jiff::Timestamp;

/// Goods on their way, and orders that should have come by now.
#[derive(Debug, Clone, Default)]
pub struct Expected {
    /// One lot for each line of which something is still to come.
    pub lots: Vec<Lot>,
    /// Orders whose time is over: no plan counts on them.
    pub overdue: Vec<OverdueOrder>,
}

/// An order whose goods should have come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OverdueOrder {
    /// What people call it.
    pub reference: String,
    /// When it should have come.
    pub arrives: Timestamp,
}

/// Goods on their way: packs of uneven weight at their least, in date for the agreed life.
///
/// What should have come already is not counted on: it is received, or somebody rings.
///
/// # Errors
/// [`Refusal`]
pub fn expected(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    now: Timestamp,
) -> Result<Expected, Refusal> {
    let mut found = Expected::default();
    for order in open(tx, site)?.into_iter().filter(|order| order.state.is_expected()) {
        if order.arrives <= now {
            let reference = order.reference();
            found.overdue.push(OverdueOrder { reference, arrives: order.arrives });
        } else {
            lots(bakery, &order, &mut found.lots)?;
        }
    }
    Ok(found)
}

/// The same of drafts that can still come: a second draft must not order it again.
pub(super) fn drafted(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    now: Timestamp,
) -> Result<Vec<Lot>, Refusal> {
    let mut found = Vec::new();
    for order in open(tx, site)? {
        if order.state == SupplierOrderState::Draft && order.arrives > now {
            lots(bakery, &order, &mut found)?;
        }
    }
    Ok(found)
}

fn lots(bakery: &Bakery, order: &SupplierOrder, found: &mut Vec<Lot>) -> Result<(), Refusal> {
    for line in &order.body.lines {
        found.extend(lot(bakery, order, line)?);
    }
    Ok(())
}

fn lot(bakery: &Bakery, order: &SupplierOrder, line: &LineBody) -> Result<Option<Lot>, Refusal> {
    let balance_micro = line.counts().to_come().checked_mul(line.least_micro);
    let balance_micro = balance_micro.ok_or_else(|| refused(domain::ratio::Overflow))?;
    let Some(item) = bakery.index().item(&line.item).filter(|_| balance_micro > 0) else {
        return Ok(None);
    };
    let zone = &bakery.site().time_zone;
    let day = |at: Timestamp| zone.to_datetime(at).date();
    let ready = add_minutes(order.arrives, bakery.item(item).ready_after_minutes);
    let keeps = line.life_minutes.map(|life| {
        let last = day(add_minutes(order.arrives, life)?);
        last_second(zone, last)
    });
    Ok(Some(Lot {
        id: format!("{}:{}", order.id, line.number),
        name: format!("order {}", order.reference()),
        item: code(&line.item)?,
        balance_micro,
        state: LotState::Expected,
        usage: LotUse::Any,
        received: day(order.arrives),
        date_is_use_by: false,
        date: None,
        usable_until: keeps.transpose().map_err(refused)?,
        arrives: Some(ready.map_err(refused)?),
        baked: None,
        made_at: None,
        thaw_started: None,
        opened: None,
        place: None,
    }))
}
