//! Where too little stands on a sheet and no cutoff is left: a person decides, and until then
//! the line says so.

use crate::service::plan::Morning;
use domain::plan::{NeedUser, too_late, undecided};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Whether an item runs short and can no longer be ordered. What cannot be told is not told.
pub(super) fn of_item(morning: &Morning, item: u32) -> bool {
    let Morning { bakery, plan, now, .. } = morning;
    too_late(bakery, plan, item, *now).unwrap_or(false)
}

/// The same of what one user takes of an item for a service date.
pub(super) fn of_need(morning: &Morning, (date, user): (Date, NeedUser), item: u32) -> bool {
    let plan = &morning.plan;
    let drawn = morning.bakery.index().fruit_of(item).unwrap_or(item);
    let Some(stock) = plan.stock.iter().find(|stock| stock.item == drawn) else { return false };
    let mut needs = stock.needs.iter().zip(&stock.netting.allocations);
    let lacks = needs.any(|(&at, allocation)| {
        let need = &plan.needs[at as usize];
        allocation.unmet_micro > 0 && (need.service_date, need.user) == (date, user)
    });
    lacks && of_item(morning, drawn)
}

/// Names of what each product of a service date waits for.
pub(super) fn by_product(morning: &Morning) -> BTreeMap<(Date, u32), Vec<String>> {
    let Morning { bakery, plan, now, .. } = morning;
    let found = undecided(bakery, plan, *now).unwrap_or_default();
    let names =
        |items: Vec<u32>| items.into_iter().map(|at| bakery.item(at).name.clone()).collect();
    found.into_iter().map(|(hit, items)| (hit, names(items))).collect()
}
