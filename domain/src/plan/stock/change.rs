//! The stock of a few items, netted anew.

use super::{ItemStock, of_item, shelve, use_by};
use crate::{
    bakery::Bakery,
    book::Book,
    net::{AmendInput, NetLot, amend},
    plan::{Finding, Plan, PlanError, needs::Touched},
};
use jiff::Timestamp;
use std::{collections::BTreeMap, mem::take, sync::Arc};

/// Nets some items anew, whose needs changed.
pub(in crate::plan) fn change(
    (bakery, book, now): (&Bakery, &Book, Timestamp),
    plan: &mut Plan,
    items: &Touched,
) -> Result<(), PlanError> {
    let mut lots_of: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    let mut dated = plan.findings.iter().any(is_of_use_by);
    for (at, lot) in (0_u32..).zip(&book.lots) {
        let item = bakery.index().item(lot.item.as_str()).filter(|item| items.contains_key(item));
        if let Some(item) = item {
            lots_of.entry(item).or_default().push(at);
            dated |= lot.date_is_use_by;
        }
    }
    for (&item, touched) in items {
        let there = lots_of.remove(&item).unwrap_or_default();
        let shelves = shelve(bakery, book, plan, there, now)?;
        let found = plan.stock.binary_search_by_key(&item, |stock| stock.item);
        let stays = touched.came.is_empty() && !touched.went;
        if let (Ok(at), true) = (found, stays)
            && amended((bakery, book, now), plan, (at, &shelves.usable), &touched.changed)
        {
            continue;
        }
        let mut needs = found.map_or_else(|_| Vec::new(), |at| take(&mut plan.stock[at].needs));
        needs.extend(&touched.came);
        needs.sort_unstable();
        if needs.is_empty() {
            found.map(|at| plan.stock.remove(at)).ok();
            continue;
        }
        let stock = of_item((bakery, book, now), plan, item, (needs, shelves))?;
        match found {
            Ok(at) => plan.stock[at] = stock,
            Err(at) => plan.stock.insert(at, stock),
        }
    }
    if dated {
        plan.findings.retain(|finding| !is_of_use_by(finding));
        use_by::note(bakery, book, plan);
    }
    Ok(())
}

const fn is_of_use_by(finding: &Finding) -> bool {
    matches!(finding, Finding::BakedAfterUseBy { .. })
}

/// Amends the netting of an item whose needs stand where they stood; whether it could.
fn amended(
    (bakery, book, now): (&Bakery, &Book, Timestamp),
    plan: &mut Plan,
    (at, lots): (usize, &[NetLot]),
    changed: &[u32],
) -> bool {
    let end = plan.end();
    let Plan { stock, needs, .. } = plan;
    let ItemStock { item, needs: own, netting, .. } = &mut stock[at];
    let found = bakery.item(*item);
    let as_of = book.stands_at(&found.code, now);
    let since = own.first().map_or(as_of, |&first| needs[first as usize].at.min(as_of));
    let mut amounts = Vec::with_capacity(changed.len());
    for &position in changed {
        let Ok(number) = own.binary_search(&position) else { return false };
        let need = &needs[position as usize];
        if need.at >= as_of {
            amounts.push((number, need.micro));
        }
    }
    let opened_life_minutes = found.opened_life_minutes;
    let input = AmendInput { lots, since, end, opened_life_minutes, changed: &amounts };
    amend(Arc::make_mut(netting), input)
}
