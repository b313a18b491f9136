//! One changed order: the plan of that is the whole plan of the changed book, field by field.

use super::{for_each_world, open, planned};
use anyhow::{Result, ensure};
use domain::{
    bakery::Bakery,
    book::Book,
    lot::LotState,
    order::{OrderChange, OrderLine},
    plan::{
        PlanInput,
        replan::{Replanned, WholeBecause, replan},
    },
};
use std::collections::BTreeMap;
use weighhouse_tests::builders::{Seed, World};

/// Changes of each bakery, one after another.
const CHANGES: usize = 12;

/// An order that is put, amended to more, fewer or another product, or called off.
fn change(seed: &mut Seed, bakery: &Bakery, book: &Book) -> OrderChange {
    let held: OrderLine = seed.pick(&book.orders);
    let product = seed.pick(&bakery.lists().products).code.clone();
    let most = if seed.chance(10) { 4_000 } else { 60 };
    let pieces = seed.between(0, most);
    let put = OrderLine { product, pieces, ..held.clone() };
    let amended = OrderLine { pieces, ..held.clone() };
    match seed.below(4) {
        0 => OrderChange { gone: Vec::new(), come: vec![put] },
        1 => OrderChange { gone: vec![held], come: vec![amended] },
        2 => OrderChange { gone: vec![held], come: vec![put, amended] },
        _ => OrderChange { gone: vec![held], come: Vec::new() },
    }
}

/// Changes a world again and again, each time from the plan before.
fn replanned(
    world: &World,
    bakery: &Bakery,
    ways: &mut BTreeMap<Option<WholeBecause>, usize>,
) -> Result<()> {
    let mut world = world.clone();
    let mut plan = planned(bakery, &world)?;
    let mut seed = Seed::new(world.book.orders.len() as u64);
    let input = PlanInput { now: world.now, until: world.until };
    for turn in 0..CHANGES {
        if world.book.orders.is_empty() {
            break;
        }
        let change = change(&mut seed, bakery, &world.book);
        world.book.change(&change);
        let before = plan.clone();
        let Replanned { plan: after, whole } = replan(bakery, (&world.book, plan), &change, input)?;
        let expected = planned(bakery, &world)?;
        ensure!(after.demand == expected.demand, "turn {turn} {whole:?} {change:?}: pieces");
        let batches = after.batches.iter().zip(&expected.batches).find(|(a, b)| a != b);
        ensure!(batches.is_none(), "turn {turn} {whole:?} {change:?}: {batches:#?}");
        let needs = after.needs.iter().zip(&expected.needs).find(|(a, b)| a != b);
        ensure!(needs.is_none(), "turn {turn} {whole:?} {change:?}: {needs:#?}");
        let stock = after.stock.iter().zip(&expected.stock).find(|(a, b)| a != b);
        ensure!(stock.is_none(), "turn {turn} {whole:?} {change:?}: {stock:#?}");
        let findings = (&after.findings, &expected.findings);
        ensure!(findings.0 == findings.1, "turn {turn} {whole:?} {change:?}: {findings:#?}");
        ensure!(after == expected, "turn {turn} {whole:?} {change:?}: the rest of the plan");
        // A copy of the plan before is still what it was.
        world.book.change(&OrderChange { gone: change.come.clone(), come: change.gone.clone() });
        ensure!(before == planned(bakery, &world)?, "turn {turn}: the plan before is another");
        world.book.change(&change);
        *ways.entry(whole).or_default() += 1;
        plan = after;
    }
    Ok(())
}

/// The same house, with packs that are open, on their way, thawing, or end within the plan.
fn lived_in(world: &World, seed: &mut Seed) -> World {
    let mut world = world.clone();
    for item in &mut world.draft.items {
        item.opened_life_minutes = seed.chance(50).then(|| seed.between(60, 3 * 1440));
        item.ready_after_minutes = if seed.chance(20) { seed.between(30, 20 * 60) } else { 0 };
    }
    let products: Vec<_> = world.draft.products.iter().map(|one| one.code.clone()).collect();
    let bought: Vec<_> = world.draft.items.iter().map(|one| one.code.clone()).collect();
    world.book.lots.retain(|lot| !products.contains(&lot.item));
    let now = world.now;
    let hours = |hours: i64| now.saturating_add(jiff::SignedDuration::from_hours(hours)).ok();
    for lot in world.book.lots.iter_mut().filter(|lot| bought.contains(&lot.item)) {
        match seed.below(6) {
            0 => lot.opened = hours(-seed.between(1, 60)),
            1 => {
                lot.state = LotState::Expected;
                lot.arrives = hours(seed.between(1, 90));
            }
            2 => lot.thaw_started = hours(-seed.between(0, 30)),
            3 => lot.usable_until = hours(seed.between(-5, 120)),
            4 => lot.date_is_use_by = lot.date.is_some(),
            _ => {}
        }
    }
    world
}

/// The same house, where all lots are there throughout: some are short in the end, and needs
/// slide from one lot into the next.
fn steady(world: &World, seed: &mut Seed) -> World {
    let mut world = lived_in(world, seed);
    for item in &mut world.draft.items {
        item.opened_life_minutes = None;
    }
    for lot in &mut world.book.lots {
        lot.state = LotState::Released;
        (lot.arrives, lot.opened, lot.thaw_started, lot.usable_until) = (None, None, None, None);
        lot.date_is_use_by = false;
        lot.date = lot.date.map(|_| world.until.saturating_add(jiff::Span::new().days(3)));
    }
    world
}

#[test]
fn a_changed_order_gives_the_plan_of_the_changed_book() -> Result<()> {
    let ways = std::cell::RefCell::new(BTreeMap::new());
    for_each_world(|world, bakery, _, _| {
        replanned(world, bakery, &mut ways.borrow_mut())?;
        // Without finished pieces in the house more goes the short way.
        let mut bare = world.clone();
        bare.book.lots.retain(|lot| bakery.index().product(lot.item.as_str()).is_none());
        replanned(&bare, bakery, &mut ways.borrow_mut())?;
        // With nothing in the house all is unmet.
        bare.book.lots.clear();
        replanned(&bare, bakery, &mut ways.borrow_mut())?;
        let mut seed = Seed::new(world.book.lots.len() as u64);
        for house in [lived_in(world, &mut seed), steady(world, &mut seed)] {
            replanned(&house, &open(&house)?, &mut ways.borrow_mut())?;
        }
        Ok(())
    })?;
    let ways = ways.into_inner();
    let short = ways.get(&None).copied().unwrap_or(0);
    ensure!(short > 500, "only {short} changes went the short way: {ways:?}");
    let refused = [WholeBecause::FinishedPieces, WholeBecause::KeptDough, WholeBecause::Fruit];
    for because in refused {
        ensure!(ways.contains_key(&Some(because)), "no change was refused: {because:?}, {ways:?}");
    }
    Ok(())
}
