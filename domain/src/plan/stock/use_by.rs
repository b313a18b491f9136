//! A use-by date and what is baked after it.
//!
//! Milk that may be used until Thursday goes into a dough that is mixed on Thursday and
//! baked on Friday: allowed, and said; a strict house refuses it.
//!
//! # Source
//! The trade rules, part 7, case 13.

use crate::{
    bakery::Bakery,
    book::Book,
    calendar::OutOfCalendar,
    lot::Lot,
    net::{Allocation, NetInput, NetLot, NetNeed, Netting, net},
    plan::{Finding, ItemStock, Need, Plan},
};

/// Whether a lot's use-by date ends before the goods of a need are baked.
fn ends_before(lot: &Lot, need: &Need) -> bool {
    lot.date_is_use_by && lot.date.is_some_and(|date| date < need.service_date)
}

/// Nets need by need, each only against lots that may still be baked on its service date.
///
/// What goes out of date in between is in no need's way, and is not listed.
pub(super) fn strict(
    input: NetInput<'_>,
    needs: &[&Need],
    lots: &[&Lot],
) -> Result<Netting, OutOfCalendar> {
    let mut left: Vec<NetLot> = input.lots.to_vec();
    let mut netting = Netting::default();
    for (number, need) in needs.iter().enumerate() {
        let fits: Vec<usize> =
            (0..lots.len()).filter(|&lot| !ends_before(lots[lot], need)).collect();
        let there: Vec<NetLot> = fits.iter().map(|&lot| left[lot].clone()).collect();
        let one = [NetNeed { ..input.needs[number] }];
        let found = net(NetInput { needs: &one, lots: &there, ..input })?;
        let mut allocation = found.allocations.first().cloned().unwrap_or_default();
        for (lot, micro) in &mut allocation.from {
            *lot = fits[*lot];
            left[*lot].micro -= *micro;
            if input.opened_life_minutes.is_some() {
                left[*lot].opened.get_or_insert(need.at);
            }
        }
        if allocation.unmet_micro > 0 {
            netting.first_short.get_or_insert(number);
            netting.short_micro += allocation.unmet_micro;
        }
        netting.allocations.push(allocation);
        netting.balances.push(found.balances.first().copied().unwrap_or(0));
    }
    Ok(netting)
}

/// Notes every lot that is used on its last days for goods that are baked after it.
pub(super) fn note(bakery: &Bakery, book: &Book, plan: &mut Plan) {
    if bakery.site().use_by_strict {
        return;
    }
    let mut found: Vec<Finding> = Vec::new();
    for ItemStock { item, needs, lots, netting, .. } in &plan.stock {
        for (&need, Allocation { from, .. }) in needs.iter().zip(&netting.allocations) {
            let need = &plan.needs[need as usize];
            for &(lot, _) in from {
                let lot = lots[lot].lot;
                if ends_before(&book.lots[lot as usize], need) {
                    let finding = Finding::BakedAfterUseBy {
                        item: *item,
                        lot: book.lots[lot as usize].name.clone(),
                        user: need.user,
                        at: need.at,
                        service_date: need.service_date,
                    };
                    if !found.contains(&finding) {
                        found.push(finding);
                    }
                }
            }
        }
    }
    plan.findings.extend(found);
}
