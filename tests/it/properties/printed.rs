//! What is printed adds up to what is printed beneath it.

use super::for_each_world;
use anyhow::{Result, ensure};
use domain::{
    bakery::{Bakery, Driver},
    demand::PieceLine,
    plan::{Batch, Plan},
    ratio::Ratio,
};
use std::collections::BTreeMap;

/// The lines of each load are its printed sum; single weighings are their line.
fn loads_add_up(bakery: &Bakery, plan: &Plan, batch: &Batch) -> Result<usize> {
    let code = &bakery.item(batch.item).code;
    let mut checked = 0;
    for group in &batch.groups {
        let mut sum = 0;
        for (line, weighed) in plan.lines_of(bakery, batch, group) {
            if let Some(weighing) = weighed.weighing {
                let scale = &bakery.scales().as_slice()[weighing.scale];
                let parts = bakery.scales().parts_ug(weighing);
                ensure!(parts.iter().sum::<i64>() == weighed.micro, "`{code}`: the weighings");
                ensure!(weighed.micro % scale.division_ug == 0, "`{code}`: beside a division");
                let carried = parts.iter().all(|&part| part <= scale.capacity_ug);
                ensure!(carried, "`{code}`: a weighing that the scale does not carry");
            }
            if !line.flags.counted() && !line.flags.out_of_bowl() {
                sum += weighed.micro;
            }
            checked += 1;
        }
        ensure!(sum == group.sum_ug, "`{code}`: the sum of a load is not that of its lines");
    }
    Ok(checked)
}

/// The lines of all loads are the issue totals.
fn issues_add_up(bakery: &Bakery, plan: &Plan, batch: &Batch) -> Result<()> {
    let code = &bakery.item(batch.item).code;
    let mut totals: BTreeMap<(u32, bool, bool), i64> = BTreeMap::new();
    for group in &batch.groups {
        for (line, weighed) in plan.lines_of(bakery, batch, group) {
            let key = (line.item, line.flags.counted(), line.flags.previous_batch());
            *totals.entry(key).or_default() += weighed.micro * group.group.loads;
        }
    }
    let recipes = bakery.recipes(batch.service_date);
    if matches!(recipes.recipes[batch.recipe as usize].driver, Driver::Blocks { .. }) {
        // Blocks are folded, not weighed: a base dough and a sheet for each.
        ensure!(totals.is_empty() && batch.issues.len() == 2, "`{code}`: blocks");
        return Ok(());
    }
    ensure!(batch.issues.len() == totals.len(), "`{code}`: issues without lines");
    for issue in &batch.issues {
        let total = totals.get(&(issue.item, issue.counted, issue.previous_batch));
        let total = total.map(|&micro| Ratio::whole(micro.into()));
        ensure!(total == Some(issue.micro), "`{code}`: an issue is not the sum of its lines");
    }
    Ok(())
}

#[test]
fn printed_lines_add_up_to_printed_totals() -> Result<()> {
    let tried = for_each_world(|_, bakery, plan, tried| {
        for batch in &plan.batches {
            tried.checks += loads_add_up(bakery, plan, batch)?;
            issues_add_up(bakery, plan, batch)?;
        }
        Ok(())
    })?;
    ensure!(tried.checks > 5_000, "only {} lines were tried", tried.checks);
    Ok(())
}

/// Pieces begun of the products that are divided from a batch.
fn begun(bakery: &Bakery, plan: &Plan, batch: &Batch) -> BTreeMap<u32, i64> {
    let dough = Some(&bakery.item(batch.item).code);
    let of_batch = |line: &&PieceLine| {
        line.service_date == batch.service_date
            && line.start > 0
            && bakery.product(line.product).dough.as_ref() == dough
    };
    plan.demand.pieces.iter().filter(of_batch).map(|line| (line.product, line.start)).collect()
}

#[test]
fn pieces_in_the_loads_are_the_pieces_begun() -> Result<()> {
    let tried = for_each_world(|_, bakery, plan, tried| {
        for batch in plan.batches.iter().filter(|batch| batch.split.loads > 1) {
            let mut sums: BTreeMap<u32, i64> = BTreeMap::new();
            for &(product, pieces) in batch.pieces_per_load.iter().flat_map(|load| &load.pieces) {
                *sums.entry(product).or_default() += pieces;
            }
            let code = &bakery.item(batch.item).code;
            let begun = begun(bakery, plan, batch);
            ensure!(sums == begun, "`{code}`: {sums:?} in its loads, {begun:?} begun");
            tried.checks += sums.len();
        }
        Ok(())
    })?;
    ensure!(tried.checks > 20, "only {} products were tried", tried.checks);
    Ok(())
}

#[test]
fn a_need_is_taken_from_lots_or_is_unmet() -> Result<()> {
    let tried = for_each_world(|_, bakery, plan, tried| {
        for stock in &plan.stock {
            let code = &bakery.item(stock.item).code;
            for (&need, found) in stock.needs.iter().zip(&stock.netting.allocations) {
                let taken: i64 = found.from.iter().map(|&(_, micro)| micro).sum();
                let need = plan.needs[need as usize].micro;
                ensure!(taken + found.unmet_micro == need, "`{code}`: a need is not accounted for");
                tried.checks += 1;
            }
            let balances = &stock.netting.balances;
            ensure!(
                balances.iter().all(|left| *left >= 0),
                "`{code}`: less than nothing is usable"
            );
            ensure!(balances.len() == stock.needs.len(), "`{code}`: a balance for each need");
            let unmet = stock.netting.allocations.iter().map(|found| found.unmet_micro);
            ensure!(unmet.sum::<i64>() == stock.netting.short_micro, "`{code}`: short by");
        }
        Ok(())
    })?;
    ensure!(tried.checks > 2_000, "only {} needs were tried", tried.checks);
    Ok(())
}
