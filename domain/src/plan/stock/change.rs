//! The stock of a few items, netted anew.

use super::{ItemStock, net_lot, of_item, use_by};
use crate::{
    bakery::Bakery,
    book::Book,
    net::{Allocation, Netting},
    plan::{Finding, Plan, PlanError, needs::Touched},
};
use jiff::Timestamp;
use std::{collections::BTreeMap, sync::Arc};

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
        let came_or_went = touched.came_or_went;
        let there = lots_of.remove(&item).unwrap_or_default();
        let found = plan.stock.binary_search_by_key(&item, |stock| stock.item);
        if let (Ok(at), true, false) = (found, there.is_empty(), came_or_went) {
            nothing_there((bakery, book, now), plan, at, &touched.changed);
            continue;
        }
        if let (Ok(at), &[lot], false) = (found, there.as_slice(), came_or_went)
            && enough_there((bakery, book, now), plan, (at, lot), &touched.changed)?
        {
            continue;
        }
        let needs = match (found, came_or_went) {
            (Ok(at), false) => std::mem::take(&mut plan.stock[at].needs),
            _ => needs_of(plan, item),
        };
        if needs.is_empty() {
            found.map(|at| plan.stock.remove(at)).ok();
            continue;
        }
        let stock = of_item((bakery, book, now), plan, item, (needs, there))?;
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

/// Positions of all needs of an item.
fn needs_of(plan: &Plan, item: u32) -> Vec<u32> {
    let needs = (0_u32..).zip(&plan.needs).filter(|(_, need)| need.item == item);
    needs.map(|(at, _)| at).collect()
}

/// What is unmet of an item of which there is nothing: its netting where needs stand as before.
fn nothing_there(
    (bakery, book, now): (&Bakery, &Book, Timestamp),
    plan: &mut Plan,
    at: usize,
    changed: &[u32],
) {
    let Plan { stock, needs, .. } = plan;
    let ItemStock { item, needs: own, netting, .. } = &mut stock[at];
    let as_of = book.stands_at(&bakery.item(*item).code, now);
    let Netting { allocations, short_micro, first_short, .. } = Arc::make_mut(netting);
    for &position in changed {
        let Ok(number) = own.binary_search(&position) else { continue };
        let need = &needs[position as usize];
        let unmet_micro = if need.at >= as_of { need.micro } else { 0 };
        let was = allocations[number].unmet_micro;
        if was != unmet_micro {
            *short_micro += unmet_micro - was;
            allocations.set(number, Allocation { unmet_micro, ..Allocation::default() });
        }
    }
    *first_short = allocations.iter().position(|allocation| allocation.unmet_micro > 0);
}

/// The netting of an item whose one lot covers all and keeps to the end: what is drawn more
/// or less is left less or more from then on. Whether it is such an item.
fn enough_there(
    (bakery, book, now): (&Bakery, &Book, Timestamp),
    plan: &mut Plan,
    (at, lot): (usize, u32),
    changed: &[u32],
) -> Result<bool, PlanError> {
    let there = net_lot(bakery, book, plan, lot, now)?;
    let end = plan.end();
    let Plan { stock, needs, .. } = plan;
    let ItemStock { item, needs: own, netting, lots, .. } = &mut stock[at];
    let found = bakery.item(*item);
    let as_of = book.stands_at(&found.code, now);
    let keeps = there.until.is_none_or(|until| Some(until) >= end);
    let plain = found.opened_life_minutes.is_none() && lots.len() == 1 && keeps;
    // By number among the needs of the item: how much more is drawn.
    let mut more: BTreeMap<usize, i64> = BTreeMap::new();
    for &position in changed {
        let Ok(number) = own.binary_search(&position) else { return Ok(false) };
        let (need, was) = (&needs[position as usize], &netting.allocations[number]);
        let &[(_, drawn)] = was.from.as_slice() else { return Ok(false) };
        if need.at < as_of || need.micro <= 0 {
            return Ok(false);
        }
        more.insert(number, need.micro - drawn);
    }
    let all: i64 = more.values().sum();
    let (true, 0, Some((&first, _))) = (plain, netting.short_micro, more.first_key_value()) else {
        return Ok(false);
    };
    if netting.left_micro < all || netting.left_micro <= 0 || !netting.spoiled.is_empty() {
        return Ok(false);
    }
    let netting = Arc::make_mut(netting);
    netting.left_micro -= all;
    let mut sum = 0;
    netting.allocations.change_tail(first, |number, allocation| {
        if let (Some(more), Some((_, drawn))) = (more.get(&number), allocation.from.first_mut()) {
            sum += more;
            *drawn += more;
        }
        allocation.balance_micro -= sum;
    });
    Ok(true)
}
