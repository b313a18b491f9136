//! The order in which rows arrive never changes a byte.

use super::{for_each_world, planned};
use anyhow::{Result, bail, ensure};
use domain::{
    bakery::Bakery,
    plan::{AskedBy, Batch, Plan, shortages},
};
use weighhouse_tests::builders::{Seed, World, code};

/// Everything that a plan says, with lots by name and not by their place in the book.
pub(super) fn said(bakery: &Bakery, plan: &Plan, world: &World) -> Result<String> {
    let lot = |at: u32| &world.book.lots[at as usize];
    let mut demand = plan.demand.clone();
    let mut batches: Vec<Batch> = plan.batches.iter().map(|batch| Batch::clone(batch)).collect();
    let mut text = String::new();
    for draw in &mut demand.finished {
        text += &format!("{:?}\n", lot(std::mem::take(&mut draw.lot)));
    }
    for taken in batches.iter_mut().flat_map(|batch| &mut batch.from_stock) {
        text += &format!("{:?}\n", lot(std::mem::take(&mut taken.lot)));
    }
    text += &format!("{demand:?}\n{batches:?}\n");
    text += &format!("{:?}\n{:?}\n{:?}\n", plan.toppings, plan.fruits, plan.needs);
    for stock in &plan.stock {
        let lots: Vec<_> = stock.lots.iter().map(|line| lot(line.lot)).collect();
        let held: Vec<_> = stock.held.iter().map(|line| lot(line.lot)).collect();
        text += &format!("{} {lots:?} {held:?} {:?}\n", stock.item, stock.netting);
    }
    text += &format!("{:?}\n", plan.findings);
    for mut line in shortages(bakery, &world.book, plan, world.now)? {
        let held = std::mem::take(&mut line.held_lots);
        let held: Vec<_> = held.iter().map(|&at| &world.book.lots[at as usize]).collect();
        text += &format!("{line:?} {held:?}\n");
    }
    Ok(text)
}

#[test]
fn the_order_of_rows_never_changes_a_byte() -> Result<()> {
    let tried = for_each_world(|world, bakery, plan, tried| {
        let first = said(bakery, plan, world)?;
        for turn in 0..3 {
            let (mut other, mut random) = (world.clone(), Seed::new(turn));
            random.shuffle(&mut other.book.orders);
            random.shuffle(&mut other.book.lots);
            random.shuffle(&mut other.book.service_dates);
            let again = said(bakery, &planned(bakery, &other)?, &other)?;
            if let Some((was, is)) = first.lines().zip(again.lines()).find(|(was, is)| was != is) {
                bail!("turn {turn}: the plan depends on the order of rows:\n{was}\n{is}");
            }
            ensure!(first.len() == again.len(), "turn {turn}: a part of the plan is missing");
            tried.checks += 1;
        }
        Ok(())
    })?;
    ensure!(tried.checks > 300, "only {} orders of rows were tried", tried.checks);
    Ok(())
}

#[test]
fn lots_that_hardly_differ_are_told_apart_in_any_order() -> Result<()> {
    let tried = for_each_world(|world, bakery, _, tried| {
        let (mut world, mut random) = (world.clone(), Seed::new(7));
        // The same delivery put away in two places, or a part of it still to come.
        let mut twins = world.book.lots.clone();
        for twin in &mut twins {
            if random.chance(50) {
                twin.place = Some(code("cellar"));
            } else {
                twin.arrives = Some(world.now);
            }
        }
        world.book.lots.extend(twins);
        let first = said(bakery, &planned(bakery, &world)?, &world)?;
        world.book.lots.reverse();
        let again = said(bakery, &planned(bakery, &world)?, &world)?;
        let differs = first.lines().zip(again.lines()).find(|(was, is)| was != is);
        ensure!(differs.is_none(), "the plan depends on the order of lots: {differs:#?}");
        tried.checks += world.book.lots.len();
        Ok(())
    })?;
    ensure!(tried.checks > 1_000, "only {} lots were tried", tried.checks);
    Ok(())
}

#[test]
fn answers_come_in_their_stated_order() -> Result<()> {
    let tried = for_each_world(|_, bakery, plan, tried| {
        let pieces = &plan.demand.pieces;
        let pieces = pieces.iter().map(|line| (line.service_date, line.product));
        ensure!(pieces.is_sorted(), "pieces");
        ensure!(plan.batches.is_sorted_by_key(|batch| batch.service_date), "batches by date");
        let needs = plan.needs.iter().map(|need| (need.at, &bakery.item(need.item).code));
        ensure!(needs.is_sorted(), "needs by time, then item");
        ensure!(plan.stock.is_sorted_by_key(|stock| stock.item), "stock by item");
        // Users before what they use: nobody asks after a batch is grossed.
        for (at, batch) in plan.batches.iter().enumerate() {
            for ask in &batch.asked {
                let AskedBy::Formula(user) = ask.by else { continue };
                let key = (batch.service_date, user);
                let before =
                    plan.batches[..at].iter().any(|other| (other.service_date, other.item) == key);
                ensure!(before, "`{}` asks too late", bakery.item(user).code);
                tried.checks += 1;
            }
        }
        Ok(())
    })?;
    ensure!(tried.checks > 500, "only {} asks were tried", tried.checks);
    Ok(())
}
