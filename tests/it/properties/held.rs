//! Released loads: whatever changes later, they stay, and drafts cover the rest.
//!
//! # Source
//! The trade rules, 2.10: only a draft moves by itself; 1.6: re-planning never moves a
//! released load.

use super::{for_each_world, planned};
use anyhow::{Context, Result, ensure};
use domain::{
    bakery::Bakery,
    load::{HeldDraw, HeldLine, HeldLoad, LoadState},
    plan::{Batch, Finding, Issue, NeedUser, Plan},
    ratio::Ratio,
    weigh::exact,
};
use std::collections::{BTreeMap, BTreeSet};
use weighhouse_tests::builders::{Seed, World};

/// The ledger's id of a lot, by its position in the book.
fn lot_id(at: usize) -> String {
    format!("lot-{at}")
}

/// Lines of a draft load that is mixed, its mass and steps.
fn mixed(
    bakery: &Bakery,
    plan: &Plan,
    batch: &Batch,
    draft: usize,
) -> Result<(Vec<HeldLine>, Ratio, Option<i64>)> {
    let mut first = 0_usize;
    let group = batch.groups.iter().find(|group| {
        first += usize::try_from(group.group.loads).unwrap_or(0);
        draft < first
    });
    let group = group.context("a group")?;
    let mut lines = Vec::new();
    for (line, weighed) in plan.lines_of(bakery, batch, group) {
        lines.push(HeldLine {
            item: bakery.item(line.item).code.clone(),
            exact: exact(line, group.factor)?,
            micro: weighed.micro,
            counted: line.flags.counted(),
            previous_batch: line.flags.previous_batch(),
        });
    }
    Ok((lines, group.group.mass, group.group.steps))
}

/// Lines of laminated dough: its base and its sheets.
fn folded(bakery: &Bakery, batch: &Batch) -> Result<Vec<HeldLine>> {
    let line = |issue: &Issue| -> Result<HeldLine> {
        Ok(HeldLine {
            item: bakery.item(issue.item).code.clone(),
            exact: issue.micro,
            micro: i64::try_from(issue.micro.round_half_up()?)?,
            counted: issue.counted,
            previous_batch: false,
        })
    };
    batch.issues.iter().map(line).collect()
}

/// A draft load of a batch as a person would release it.
fn released(
    bakery: &Bakery,
    world: &World,
    plan: &Plan,
    batch: &Batch,
    draft: usize,
) -> Result<HeldLoad> {
    let (lines, mass, steps) = match batch.blocks {
        Some(blocks) => (folded(bakery, batch)?, batch.gross, Some(blocks)),
        None => mixed(bakery, plan, batch, draft)?,
    };
    let draws = plan.draws_of(bakery, batch, draft)?.into_iter().map(|draw| HeldDraw {
        item: bakery.item(draw.item).code.clone(),
        micro: draw.micro,
        issue: draw.issue,
        counted: draw.counted,
        lots: draw.lots.iter().map(|&(lot, micro)| (lot_id(lot as usize), micro)).collect(),
    });
    Ok(HeldLoad {
        mix: 1,
        mixes: None,
        formula: bakery.item(batch.item).code.clone(),
        service_date: batch.service_date,
        number: batch.number(draft),
        state: LoadState::Released,
        starts_at: batch.made_at.unwrap_or(world.now),
        mixer: None,
        mass,
        residue: batch.split.residue,
        steps,
        lines,
        draws: draws.collect(),
        pieces: batch.pieces_per_load.get(draft).map_or_else(Vec::new, |load| {
            let code = |product: u32| bakery.product(product).code.clone();
            load.pieces.iter().map(|&(product, pieces)| (code(product), pieces)).collect()
        }),
    })
}

/// The world with some of a plan's drafts released.
fn some_released(
    bakery: &Bakery,
    world: &World,
    plan: &Plan,
    mut chosen: impl FnMut() -> bool,
) -> Result<World> {
    let mut held = Vec::new();
    for batch in &plan.batches {
        for draft in 0..batch.numbers.len() {
            if chosen() {
                held.push(released(bakery, world, plan, batch, draft)?);
            }
        }
    }
    let mut world = world.clone();
    world.book.held = held;
    for (at, lot) in world.book.lots.iter_mut().enumerate() {
        lot.id = lot_id(at);
    }
    Ok(world)
}

/// What comes out of the bowls of a batch: of held loads, and of drafts.
fn given(batch: &Batch) -> Result<(Ratio, Ratio)> {
    let mut held = Ratio::ZERO;
    for part in &batch.held {
        held = held.plus(part.mass.minus(part.residue)?)?;
    }
    let residue = batch.split.residue.times(Ratio::whole(batch.split.loads.into()))?;
    Ok((held, batch.split.mass.minus(residue)?))
}

#[test]
fn held_and_drafted_loads_cover_what_is_asked_and_no_held_load_moves() -> Result<()> {
    let tried = for_each_world(|world, bakery, plan, tried| {
        let mut seed = Seed::new(plan.batches.len() as u64 * 31 + plan.needs.len() as u64);
        let mut world = some_released(bakery, world, plan, || seed.chance(50))?;
        for load in &mut world.book.held {
            load.state = seed.pick(&LoadState::ALL);
        }
        for line in &mut world.book.orders {
            line.pieces = (line.pieces + seed.between(-20, 20)).max(0);
        }
        let after = planned(bakery, &world)?;
        for batch in after.batches.iter().filter(|batch| batch.blocks.is_none()) {
            check_batch(bakery, &world, &after, batch)?;
            tried.checks += usize::from(!batch.held.is_empty());
        }
        check_needs(bakery, &world, &after)?;
        tried.checks += check_lots(bakery, &world, &after)?;
        Ok(())
    })?;
    ensure!(tried.checks > 300, "only {} batches with held loads were tried", tried.checks);
    Ok(())
}

fn check_batch(bakery: &Bakery, world: &World, plan: &Plan, batch: &Batch) -> Result<()> {
    let code = &bakery.item(batch.item).code;
    let own = |load: &&HeldLoad| load.formula == *code && load.service_date == batch.service_date;
    let held: Vec<&HeldLoad> = world.book.held.iter().filter(own).collect();
    let covering: Vec<&&HeldLoad> = held.iter().filter(|load| load.state.covers()).collect();
    ensure!(covering.len() == batch.held.len(), "`{code}`: a held load is missing or too many");
    for part in &batch.held {
        let load = &world.book.held[part.at as usize];
        ensure!((part.number, part.mass) == (load.number, load.mass), "`{code}`: it moved");
    }
    let taken: BTreeSet<i64> = held.iter().map(|load| load.number).collect();
    ensure!(batch.numbers.iter().all(|number| !taken.contains(number)), "`{code}`: number twice");
    let asked = batch.gross.plus(batch.keep_back)?;
    let (from_held, from_drafts) = given(batch)?;
    let all = from_held.plus(from_drafts)?;
    let tolerance = asked.times(Ratio::new(1, 400)?)?;
    let of_batch = |item: u32, date| (item, date) == (batch.item, batch.service_date);
    let overs = plan.findings.iter().find_map(|finding| match finding {
        Finding::OversUsed { item, service_date, ug } if of_batch(*item, *service_date) => {
            Some(*ug)
        }
        _ => None,
    });
    let short = asked.minus(all)?;
    let allowed = overs.unwrap_or(if batch.held.is_empty() { Ratio::ZERO } else { tolerance });
    ensure!(short <= allowed, "`{code}` for {}: short by {short:?}", batch.service_date);
    if batch.split.loads > 0 && batch.split.groups.iter().all(|group| group.steps.is_none()) {
        ensure!(all == asked, "`{code}`: drafts cover {all:?}, asked {asked:?}");
    }
    let surplus = plan.findings.iter().any(|finding| {
        matches!(finding, Finding::Surplus { item, service_date, .. } if of_batch(*item, *service_date))
    });
    let over = from_held.minus(asked)?;
    ensure!(surplus == (over > tolerance && !batch.held.is_empty()), "`{code}`: surplus {over:?}");
    Ok(())
}

/// A released load takes what it was released with; a weighed one nothing more.
fn check_needs(bakery: &Bakery, world: &World, plan: &Plan) -> Result<()> {
    for batch in &plan.batches {
        for part in &batch.held {
            let load = &world.book.held[part.at as usize];
            let user = NeedUser::Formula(batch.item);
            let own = plan.needs.iter().filter(|need| {
                (need.user, need.service_date, need.load)
                    == (user, batch.service_date, Some(part.number))
            });
            let mut found: Vec<_> =
                own.map(|need| (bakery.item(need.item).code.clone(), need.micro)).collect();
            let fruit = |draw: &&HeldDraw| {
                let item = bakery.index().item(draw.item.as_str());
                item.is_none_or(|item| bakery.item(item).joint.is_none())
            };
            let draws = load.draws.iter().filter(fruit).filter(|draw| draw.micro > 0);
            let mut expected: Vec<_> = match load.state {
                LoadState::Released => draws.map(|draw| (draw.item.clone(), draw.micro)).collect(),
                _ => Vec::new(),
            };
            found.sort();
            expected.sort();
            ensure!(found == expected, "load {} takes {found:?}, not {expected:?}", part.number);
        }
    }
    Ok(())
}

/// A released load that is not late keeps every lot that was proposed to it.
fn check_lots(bakery: &Bakery, world: &World, plan: &Plan) -> Result<usize> {
    let mut kept = 0;
    for stock in &plan.stock {
        let code = &bakery.item(stock.item).code;
        for (&at, allocation) in stock.needs.iter().zip(&stock.netting.allocations) {
            let need = &plan.needs[at as usize];
            let (Some(number), NeedUser::Formula(made)) = (need.load, need.user) else { continue };
            let batch = plan.batch(need.service_date, made).context("a batch")?;
            let part = batch.held.iter().find(|part| part.number == number).context("a load")?;
            let load = &world.book.held[part.at as usize];
            let own = |draw: &&HeldDraw| draw.item == *code && draw.counted == need.counted;
            let proposed = load.draws.iter().filter(own).flat_map(|draw| &draw.lots);
            for (id, micro) in proposed.filter(|_| load.starts_at >= world.now) {
                let lot = stock.lots.iter().position(|line| lot_id(line.lot as usize) == *id);
                let found = allocation.from.iter().find(|(at, _)| Some(*at) == lot);
                let found = found.map(|&(_, micro)| micro);
                ensure!(found >= Some(*micro), "`{code}`: {micro} of {id} kept, now {found:?}");
                kept += 1;
            }
        }
    }
    Ok(kept)
}

/// How much of each lot an item's needs take.
fn lots_of(plan: &Plan, item: u32) -> BTreeMap<u32, i64> {
    let mut taken = BTreeMap::new();
    for stock in plan.stock.iter().filter(|stock| stock.item == item) {
        for &(lot, micro) in stock.netting.allocations.iter().flat_map(|one| &one.from) {
            *taken.entry(stock.lots[lot].lot).or_default() += micro;
        }
    }
    taken
}

#[test]
fn releasing_everything_leaves_nothing_to_draft_and_changes_no_need() -> Result<()> {
    let tried = for_each_world(|world, bakery, plan, tried| {
        let released = some_released(bakery, world, plan, || true)?;
        let after = planned(bakery, &released)?;
        for (batch, before) in after.batches.iter().zip(&plan.batches) {
            let code = &bakery.item(batch.item).code;
            ensure!(batch.split.loads == 0, "`{code}` is drafted again");
            ensure!(batch.blocks.is_none_or(|blocks| blocks == 0), "`{code}` is folded again");
            let loads = |batch: &Batch| batch.numbers.len() + batch.held.len();
            ensure!(loads(batch) == loads(before), "`{code}` has other loads");
            ensure!(batch.all_blocks() == before.all_blocks(), "`{code}` has other blocks");
            ensure!(batch.gross == before.gross, "`{code}` is asked for otherwise");
            tried.checks += 1;
        }
        let sum = |plan: &Plan, item: u32| -> i64 {
            let own = plan.needs.iter().filter(|need| need.item == item && need.at >= world.now);
            own.map(|need| need.micro).sum()
        };
        // Late loads are still to be weighed: only what is planned ahead can be compared.
        if plan.needs.iter().all(|need| need.at >= world.now) {
            for item in 0..u32::try_from(bakery.lists().items.len())? {
                let (was, now) = (sum(plan, item), sum(&after, item));
                let code = &bakery.item(item).code;
                ensure!(was == now, "`{code}`: {was} were needed, now {now}");
                let (was, now) = (lots_of(plan, item), lots_of(&after, item));
                ensure!(was == now, "`{code}`: lots {was:?}, now {now:?}");
            }
        }
        Ok(())
    })?;
    ensure!(tried.checks > 500, "only {} batches were tried", tried.checks);
    Ok(())
}
