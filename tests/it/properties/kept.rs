//! Kept dough and other made stock in random bakeries: nothing is used twice or out of age.

use super::{Tried, open, planned, rows::said};
use anyhow::{Context, Result, ensure};
use domain::{
    formula::Divide,
    lot::{Lot, LotState, LotUse},
    plan::{Plan, made_stock::window},
    product::At,
    quantity::MICRO,
    ratio::Ratio,
};
use jiff::civil::time;
use std::collections::BTreeMap;
use weighhouse_tests::builders::{Seed, World, world};

/// How many random bakeries get kept stock.
const WORLDS: u64 = 60;

/// Age windows, divide times and kept lots of every formula, at random.
fn with_kept_stock(number: u64) -> World {
    let (mut world, mut seed) = (world(number), Seed::new(number + 1_000));
    for formula in &mut world.draft.formulas {
        if seed.chance(60) {
            let least = seed.between(0, 12) * 60;
            formula.age_window_minutes = Some((least, least + seed.between(6, 40) * 60));
        }
        if seed.chance(50) {
            formula.keeping.divide =
                Some(Divide::At(At { day: -1, time: time(seed.pick(&[11, 13, 15]), 0, 0, 0) }));
        }
        if seed.chance(30) {
            formula.life_minutes = Some(seed.between(10, 60) * 60);
        }
        for tub in 0..seed.between(0, 3) {
            let back = jiff::Span::new().minutes(seed.between(-600, 3_000));
            world.book.lots.push(Lot {
                id: String::new(),
                name: format!("tub-{tub}"),
                item: formula.code.clone(),
                balance_micro: seed.between(-1, 40) * 500 * MICRO,
                state: if seed.chance(85) { LotState::Released } else { LotState::Hold },
                usage: LotUse::Any,
                received: world.until,
                date: None,
                date_is_use_by: false,
                usable_until: None,
                arrives: None,
                baked: None,
                made_at: world.now.checked_sub(back).ok().filter(|_| seed.chance(85)),
                thaw_started: None,
                opened: None,
                place: None,
            });
        }
    }
    world
}

fn for_each_kept(
    property: impl Fn(&World, &domain::bakery::Bakery, &Plan, &mut Tried) -> Result<()>,
) -> Result<Tried> {
    let mut tried = Tried::default();
    for number in 0..WORLDS {
        let world = with_kept_stock(number);
        let place = || format!("seed {number}");
        let bakery = open(&world).with_context(place)?;
        let plan = planned(&bakery, &world).with_context(place)?;
        property(&world, &bakery, &plan, &mut tried).with_context(place)?;
    }
    Ok(tried)
}

#[test]
fn what_is_taken_is_there_of_the_right_age_and_never_more_than_is_asked() -> Result<()> {
    let tried = for_each_kept(|world, bakery, plan, tried| {
        let mut used: BTreeMap<u32, i64> = BTreeMap::new();
        for batch in &plan.batches {
            ensure!(batch.net >= Ratio::ZERO, "less than nothing is made");
            let mut asked = Ratio::ZERO;
            for ask in &batch.asked {
                asked = asked.plus(ask.amount)?;
            }
            ensure!(batch.net.plus(batch.credit()?)? == asked, "asked = new + spared");
            let recipe = &bakery.recipes(batch.service_date).recipes[batch.recipe as usize];
            for taken in &batch.from_stock {
                let lot = &world.book.lots[taken.lot as usize];
                ensure!(lot.state != LotState::Hold, "a held lot is used");
                let made_at = lot.made_at.context("an unknown age is used")?;
                let found = window(bakery, recipe, lot, made_at)?;
                ensure!(found.holds(taken.at), "{lot:?} is used at {} in {found:?}", taken.at);
                let stands_at = world.book.stands_at(&lot.item, world.now);
                ensure!(taken.at >= stands_at, "it is out of the figures already");
                *used.entry(taken.lot).or_default() += taken.used_ug;
                tried.checks += 1;
            }
        }
        for (lot, used) in used {
            let lot = &world.book.lots[lot as usize];
            ensure!(used <= lot.balance_micro, "{} of {lot:?} is used", used);
        }
        Ok(())
    })?;
    ensure!(tried.checks > 100, "only {} takings were tried", tried.checks);
    Ok(())
}

#[test]
fn the_order_of_kept_lots_never_changes_a_byte() -> Result<()> {
    let tried = for_each_kept(|world, bakery, plan, tried| {
        let mut other = world.clone();
        other.book.lots.reverse();
        let was = said(bakery, plan, world)?;
        let is = said(bakery, &planned(bakery, &other)?, &other)?;
        let differs = was.lines().zip(is.lines()).find(|(was, is)| was != is);
        ensure!(differs.is_none(), "the plan depends on the order of lots: {differs:#?}");
        tried.checks += plan.batches.iter().map(|batch| batch.from_stock.len()).sum::<usize>();
        Ok(())
    })?;
    ensure!(tried.checks > 100, "only {} takings were tried", tried.checks);
    Ok(())
}
