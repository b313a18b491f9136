//! The order in which rows arrive never changes a byte.

use super::{for_each_world, planned};
use anyhow::{Result, bail, ensure};
use domain::{
    bakery::Bakery,
    plan::{Plan, shortages},
};
use weighhouse_tests::builders::{Seed, World, code};

/// Everything that a plan says, with lots by name and not by their place in the book.
fn said(bakery: &Bakery, plan: &Plan, world: &World) -> Result<String> {
    let mut text = format!("{:?}\n{:?}\n{:?}\n", plan.demand, plan.batches, plan.lines);
    text += &format!("{:?}\n{:?}\n{:?}\n", plan.toppings, plan.fruits, plan.needs);
    for stock in &plan.stock {
        let lot = |at: u32| &world.book.lots[at as usize];
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
