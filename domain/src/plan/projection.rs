//! The balance of one item over the plan, with proposed orders on their way.

use super::{
    Choice, ItemStock, Plan, ShortageError, SupplierOrderProposal, pack_holds, stock,
    supplier_orders::expected,
};
use crate::{
    bakery::Bakery,
    book::Book,
    net::{NetInput, NetLot, Netting, net},
};
use jiff::Timestamp;

/// The stock of one item with all proposals that are taken on their way.
///
/// # Errors
/// [`ShortageError`]
pub fn with_orders(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    found: &ItemStock,
    proposals: &[SupplierOrderProposal],
    now: Timestamp,
) -> Result<(Vec<NetLot>, Netting), ShortageError> {
    let mut lots = Vec::new();
    for lot in &found.lots {
        lots.push(stock::net_lot(bakery, book, plan, lot.lot, now)?);
    }
    let item = bakery.item(found.item);
    for proposal in proposals.iter().filter(|proposal| proposal.choice != Choice::Refused) {
        let supplier = &bakery.lists().suppliers[proposal.supplier as usize];
        for line in proposal.lines.iter().filter(|line| line.item == found.item) {
            let pack = &bakery.lists().packs[line.pack as usize];
            let Some(holds) = pack_holds(bakery, found.item, pack)? else { continue };
            let goods = (found.item, pack, holds);
            lots.push(expected(bakery, supplier, goods, line, proposal.arrival)?);
        }
    }
    let needs = stock::net_needs(plan, &found.needs);
    let netting = net(NetInput {
        needs: &needs,
        lots: &lots,
        as_of: book.stands_at(&item.code, now),
        end: plan.end(),
        opened_life_minutes: item.opened_life_minutes,
        inner_micro: stock::inner(bakery, found.item)?,
    })?;
    Ok((lots, netting))
}
